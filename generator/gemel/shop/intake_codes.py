"""What can be said about copies that come from a control."""

from __future__ import annotations

from dataclasses import replace

from gemel.findings import Explanation, Severity

__all__ = ["CODES"]


def _code(name: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    rule, code = name.split(":")
    return Explanation(rule, code, Severity.ERROR, what, why, example, remedy)


def _warning(name: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return replace(_code(name, what, why, example, remedy), severity=Severity.WARNING)


def _note(name: str, what: str, why: str, example: str, remedy: str) -> Explanation:
    return replace(_code(name, what, why, example, remedy), severity=Severity.NOTE)


NOTHING = _code(
    "intake:nothing",
    "There is nothing to take in.",
    "An intake that takes nothing in would look like a control without edits.",
    "an empty folder, or the wrong one",
    "name the files, or the folder that the control wrote",
)
LINK = _warning(
    "intake:link",
    "A file from a control is a link, or is no file at all.",
    "What a link leads to did not come from the control, and may be anything on this computer.",
    "O1202 -> /etc/hostname",
    "copy the file itself, then take it in",
)
TOO_LARGE = _code(
    "intake:too-large",
    "A file is larger than any program that gemel reads.",
    "A copy of the control's whole memory is no program.",
    "an image of a memory card",
    "take the programs out of it and take those in",
)
NO_PROGRAM = _note(
    "intake:no-program",
    "A file in the folder looks like no program: its bytes are no text.",
    "Pictures and parameter files lie beside programs; they are left where they are.",
    "screen.bmp",
    "if it is a program all the same, name the file itself",
)
UNSTABLE = _code(
    "intake:unstable",
    "A file changed while it was read.",
    "Half of a program would be taken for a program that lost its end.",
    "the control is still sending it",
    "take it in again when the control is done",
)
UNKNOWN = _code(
    "intake:unrecognised",
    "A program is stored, and gemel does not know whose it is.",
    "Without its pair a copy cannot be compared; an edit in it would be seen by nobody.",
    "the header was taken out at the control, and the program number is no member's",
    "say which it is: `--as MEMBER:CHANNEL`",
)
DOUBT = _code(
    "intake:doubt",
    "What a program says it is and what it holds do not agree, or it says two things.",
    "Compared with the wrong program, everything is an edit; sent to the wrong channel, it crashes.",
    "the turret's program under the header of the milling head",
    "look at the program, then say which it is: `--as MEMBER:CHANNEL`",
)
OTHER_MACHINE = _code(
    "intake:other-machine",
    "The stamp is that of a pair for another machine.",
    "A program that was written for another machine moves other axes by the same words.",
    "a copy of the mm machine taken in with `--machine inch-duplex`",
    "name the control that it came from; if it really stood there, take it out of there first",
)
TWICE = _code(
    "intake:twice",
    "Two different programs are copies of one channel of one pair.",
    "One of them runs, the other lies beside it; gemel cannot know which is which.",
    "O1202 and the trial copy O9202, both with the stamp of port-block 35",
    "say which one runs: `--as FILE=MEMBER:CHANNEL`; the other stays stored",
)
MIXED = _warning(
    "intake:mixed",
    "The channels of a pair at the control descend from different writings.",
    "They were never proved together: wait marks of one may stand where the other has none.",
    "after a drawing revision only the turret's program was sent",
    "send both programs of one writing, or take in the other channel as it stands there now",
)
NEAREST = _note(
    "intake:nearest",
    "A copy bears no stamp that can be read, so it is compared with the writing that it is nearest to.",
    "Of two writings that differ little it may be the other one; their difference would then look like hand edits.",
    "the control dropped all comments",
    "check that the edits shown are those that were made; let the control keep comments of 32 characters",
)
SUPERSEDED = _note(
    "intake:superseded",
    "A copy that waited to be recognised is older than one that was taken in since.",
    "The newer one says what runs; the older is history.",
    "a copy without a name, recognised after the next intake",
    "nothing to do: `gemel log MEMBER` shows both",
)
NO_AS = _code(
    "intake:as",
    "What `--as` names is no member, no channel, or no file of this intake.",
    "A copy that is put to the wrong pair is compared with the wrong program.",
    "--as port-block/53:uper",
    "`--as MEMBER:CHANNEL`, with several files `--as FILE=MEMBER:CHANNEL`",
)

CODES = (
    NOTHING,
    LINK,
    TOO_LARGE,
    NO_PROGRAM,
    UNSTABLE,
    UNKNOWN,
    DOUBT,
    OTHER_MACHINE,
    TWICE,
    MIXED,
    NEAREST,
    SUPERSEDED,
    NO_AS,
)
