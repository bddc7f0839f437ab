"""What can be wrong with two states that are to be compared."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["CODES"]


def _code(code: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return Explanation("compare", code, Severity.ERROR, what, why, example, remedy)


UNKNOWN = _code(
    "unknown",
    "What is to be compared is no revision of the shop, no folder and no file.",
    "A comparison with something else than was meant would call a changed program unchanged.",
    "gemel compare releas/twin-turnmill/port-block-35/1",
    "name a commit, a branch, a tag, a folder or a program; `git log --oneline -- output` lists the commits",
)
NO_PAIRS = _code(
    "no-pairs",
    "A revision or a folder holds no pair and no program.",
    "Compared with nothing, every pair would look new, or gone.",
    "gemel compare HEAD photos",
    "name a folder with programs, or a commit in which `output/` holds pairs",
)
NOT_A_PROGRAM = _code(
    "not-a-program",
    "A file that is to be compared is no program.",
    "A picture or a list that is read as a program gives many differences and no insight.",
    "gemel compare setup.jpg output/twin-turnmill/port-block-35/port-block-35.upper.nc",
    "name the text of a program",
)
CHANNEL = _code(
    "channel",
    "Nothing says which channel of which machine a program is for.",
    "The same word is another code in another channel; what it means there decides what is a difference.",
    "gemel compare O1202 O1202.OLD, both without a header",
    "say it: `--machine NAME --channel CHANNEL`",
)
UNLIKE = _code(
    "unlike",
    "The two programs are for different channels or machines.",
    "Between the milling head's program and the turret's everything is a difference.",
    "gemel compare port-block-35.upper.nc port-block-35.lower.nc",
    "name two programs of one channel; if both are, say so with `--channel`",
)
UNRECOGNISED = _code(
    "unrecognised",
    "Nothing says whose program a file is, so it cannot be held against a pair.",
    "Compared with the wrong program, everything is a difference.",
    "a program without header in the folder that is compared with HEAD",
    "compare it with the one program that it belongs to: `gemel compare FILE FILE`",
)
TWICE = _code(
    "twice",
    "Two programs in a folder are of one channel of one pair.",
    "One of them runs, the other lies beside it; gemel cannot know which is which.",
    "O1202 and the trial copy O9202 in one folder, both with the stamp of port-block 35",
    "compare with the one that is meant: `gemel compare A FILE`",
)
NO_PAIR = _code(
    "no-pair",
    "Neither state holds the pair that is named.",
    "A pair that is in neither cannot have changed; a name that was mistyped would look like one without differences.",
    "gemel compare HEAD~1 port-block/53",
    "name a pair as `FAMILY/MEMBER`; without a name all pairs are compared",
)
UNREADABLE = _code(
    "unreadable",
    "A pair of one of the states cannot be read.",
    "What cannot be read may differ; it must not be left out without a word.",
    "record.json was cut short by a full disk",
    "look at the folder in that state; `gemel write` puts a spoilt pair of `output/` right",
)

CODES = (UNKNOWN, NO_PAIRS, NOT_A_PROGRAM, CHANNEL, UNLIKE, UNRECOGNISED, TWICE, NO_PAIR, UNREADABLE)
