"""What can be wrong with what is asked of a shop."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES"]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("shop", code, Severity.ERROR, what, why, example, remedy)


NO_SHOP = _code(
    "no-shop",
    "No shop here: neither this folder nor one above it holds `families/` and `templates/`.",
    "gemel takes everything it knows about parts and machines from those folders.",
    "gemel write in an empty folder",
    "go to the shop's folder, or lay out a new one: `gemel new DIR`",
)
NO_FAMILY = _code(
    "no-family",
    "No family of that name.",
    "Only what is described can be written.",
    "gemel write port-blok",
    "name a family by its file in `families/`, without `.yaml`",
)
NO_MEMBER = _code(
    "no-member",
    "The family has no member of that name.",
    "Only what is described can be written.",
    "gemel write port-block/21",
    "name a member as it stands in the family's `members:`",
)
NO_MACHINE = _code(
    "no-machine",
    "No machine of that name: there is no folder with a `machine.yaml` for it under `templates/`.",
    "The machine file says how the machine is spoken to; without it no program can be written.",
    "machine: twin-turnmil",
    "name a machine by its folder under `templates/`",
)
NO_FILE = _code(
    "no-file",
    "A file that the shop needs is not there.",
    "gemel does not guess what it would say.",
    "a shop without templates/tools.yaml",
    "restore the file, or take it from a new shop: `gemel new DIR`",
)
UNREADABLE = _code(
    "unreadable",
    "A file is too large, or is not UTF-8 text.",
    "A description that is read in the wrong encoding says something else.",
    "a family saved as UTF-16",
    "save it as UTF-8 text of less than 1 MB",
)
OTHER_NAME = _code(
    "other-name",
    "A file's name and the name inside it differ.",
    "People look for a family by its file; programs bear the name inside. Both must be the same.",
    "families/port-block.yaml with `family: portblock`",
    "rename one of the two",
)
DUPLICATE_PROGRAM = _code(
    "duplicate-program",
    "Two members of the shop have the same program number on one machine.",
    "At the control the second would replace the first.",
    "two members with program: 1201",
    "give one of them a number of its own",
)
NOT_PROVED = _code(
    "not-proved",
    "The written programs did not pass the proof, so nothing of this pair was written.",
    "gemel does not put into `output/` what it would itself object to.",
    "a stage table that lets two tools meet",
    "mend what the findings name; `--unproved` writes it to unproved/, for looking at",
)
NO_PLACE = _code(
    "no-place",
    "A place in a program must be given as FILE:LINE or FILE:LINE:COLUMN.",
    "`why` explains the words of one block.",
    "gemel why 42",
    "gemel why output/<machine>/<pair>/<program>:LINE",
)
NOT_OURS = _code(
    "not-ours",
    "The file is no program of a pair in `output/`.",
    "`why` knows where a number came from only for programs that gemel wrote.",
    "gemel why README.md:1",
    "name a program under output/",
)
STALE = _code(
    "stale",
    "The program is not what the family gives today: it is out of date, or was changed by hand.",
    "An explanation of other text would be wrong without a sign of it.",
    "why, after a value was changed and before `gemel write`",
    "run `gemel write` first, or restore the file",
)
NOT_EMPTY = _code(
    "not-empty",
    "The folder for a new shop exists and holds something.",
    "gemel does not lay its files over somebody's.",
    "gemel new . in a full folder",
    "name a new folder",
)
NO_CODE = _code(
    "no-code",
    "No finding of that name.",
    "Every finding is printed with its name in brackets, rule and code: [waits:deadlock].",
    "gemel explain deadlok",
    "write the name as it was printed",
)
NO_SCHEMA = _code(
    "no-schema",
    "No schema for that kind of file.",
    "There are schemas for what people write by hand.",
    "gemel schema famly",
    "gemel schema family | machine | tools | materials",
)
CHANGED = _code(
    "changed",
    "A file of the shop changed while gemel was at work.",
    "A program made half from the old and half from the new would be nobody's.",
    "a family saved in the editor during `gemel write`",
    "run the same command again",
)

CODES = (
    NO_SHOP,
    NO_FAMILY,
    NO_MEMBER,
    NO_MACHINE,
    NO_FILE,
    UNREADABLE,
    OTHER_NAME,
    DUPLICATE_PROGRAM,
    NOT_PROVED,
    NO_PLACE,
    NOT_OURS,
    STALE,
    NOT_EMPTY,
    NO_CODE,
    NO_SCHEMA,
    CHANGED,
)
