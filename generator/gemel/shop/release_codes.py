"""What can stand against a release, or against sending a pair to a control."""

from __future__ import annotations

from dataclasses import replace

from gemel.findings import Explanation, Severity

__all__ = ["CODES"]


def _code(name: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    rule, code = name.split(":")
    return Explanation(rule, code, Severity.ERROR, what, why, example, remedy)


def _warning(name: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return replace(_code(name, what, why, example, remedy), severity=Severity.WARNING)


NO_PAIR = _code(
    "release:no-pair",
    "There is no such pair in `output/`.",
    "Only what is written can be proved out, released or sent.",
    "gemel send port-block/21 /media/stick",
    "write it first: `gemel write FAMILY/MEMBER`",
)
WHICH_MACHINE = _code(
    "release:which-machine",
    "The pair stands in `output/` for several machines, or for another one than the one named.",
    "A program for one machine moves other axes on another.",
    "gemel send port-block/20 /media/stick, where it is written for two machines",
    "name the machine: `--machine NAME`",
)
NOT_COMMITTED = _code(
    "release:not-committed",
    "The pair in `output/` is not what the branch's last commit holds.",
    "A release names a commit; what is in none cannot be found again.",
    "a pair written with `--no-commit`",
    "run `gemel write`; it commits what is as it should be",
)
NOT_PROVED = _code(
    "release:not-proved",
    "The pair does not pass the proof.",
    "What gemel itself objects to is not released, and not sent to a machine.",
    "a pair whose machine file was changed since it was written",
    "mend what the findings name, write the pair, and try again",
)
UNDECIDED = _code(
    "release:undecided",
    "A copy from the control holds edits about which nobody has decided.",
    "What was proved out is what ran, with those edits; the text in `output/` does not have them.",
    "a feed touched up at the control during the prove-out",
    "decide first: `gemel edits MEMBER`, `gemel decide MEMBER`",
)
NOBODY = _code(
    "release:nobody",
    "A release needs the name of the person who proved the pair out, and a day that is not in the future.",
    "A prove-out without a name is a rumour.",
    'gemel release port-block/20 --by ""',
    'name the person, `--by "A. Setter"`, and the day, `--on 2024-03-01`',
)
STALE = _warning(
    "release:stale",
    "The files that the pair was made from have changed since.",
    "The pair may follow a drawing that is no longer valid.",
    "the family has revision D, the pair in output/ is revision C",
    "run `gemel write` first where the new revision is meant; `gemel status` names the files",
)
NOT_RELEASED = _warning(
    "send:not-released",
    "The pair was sent, and no release says that anybody proved it out on this machine.",
    "It bears `NOT RELEASED` behind its program number: to be run in single block, by a person who stands there.",
    "a new revision on its way to its prove-out",
    "prove it out at the machine, then `gemel release MEMBER --machine NAME --by WHO` and send it again",
)
UNKNOWN_THERE = _code(
    "send:unknown-there",
    "A program at the control is not what gemel knows to be there: it was changed there, or is somebody else's.",
    "Sending over it would lose the only copy of that change.",
    "the operator touched up a feed, and nobody has taken the copy in",
    "take it in first: `gemel intake DIR --machine NAME`, then send",
)
LINK_THERE = _code(
    "send:link",
    "Where the program is to be put there is a link or a folder.",
    "gemel would write somewhere else than it says.",
    "O1201 -> ../other/O1201",
    "take it away, then send",
)
SAME_NAME = _code(
    "send:same-name",
    "Two programs would get the same name in the control's folder.",
    "The second would replace the first.",
    "`programs: {file: O{number}}` without the channel's suffix",
    "let the machine file's `programs: file:` tell channels and programs apart",
)
NAME = _code(
    "send:name",
    "A program's name cannot be a file name everywhere: it is a device on many controls and computers.",
    "Written there, it goes to the device and not into a file.",
    "a family called CON",
    "give the family another name, or set `programs: file:` in the machine file",
)
NO_FOLDER = _code(
    "send:no-folder",
    "The folder to send to is not there.",
    "A folder made in its place would look like the control's, on a computer that is not connected to it.",
    "the stick is not plugged in, the network drive not mounted",
    "connect it; make the folder yourself where it is meant to be new",
)
LEFT_HALF = _warning(
    "send:completed",
    "An earlier send was ended in the middle of a pair, and is completed now.",
    "Between its two programs the control held one of the old writing and one of the new.",
    "the stick was pulled, the computer went off",
    "nothing to do; if the pair was started meanwhile, look at it before it runs again",
)
READ_BACK = _code(
    "send:read-back",
    "What was read back from the control's folder is not what was written.",
    "A program that lost a line on its way moves the machine as nobody planned.",
    "a full or failing stick, a network drive that dropped out",
    "send it again; the pair is not marked as sent, and `gemel send` first puts right what was left half done",
)
UNDECIDED_THERE = _warning(
    "send:undecided",
    "The program that was replaced at the control held edits about which nobody has decided.",
    "They are stored, and no longer run. If one of them mended a fault, the fault is back.",
    "the operator's lower feed, taken in and not looked at",
    "decide: `gemel edits MEMBER`, `gemel decide MEMBER`; write and send again where one is kept",
)

CODES = (
    NO_PAIR,
    WHICH_MACHINE,
    NOT_COMMITTED,
    NOT_PROVED,
    UNDECIDED,
    NOBODY,
    STALE,
    NOT_RELEASED,
    UNKNOWN_THERE,
    LINK_THERE,
    SAME_NAME,
    NAME,
    NO_FOLDER,
    LEFT_HALF,
    READ_BACK,
    UNDECIDED_THERE,
)
