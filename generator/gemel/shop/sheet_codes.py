"""What can be wrong with sheets and charts that are asked for."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["FOREIGN_FILE", "NOTHING_THERE", "NOT_PROVED", "NO_PDF", "OTHER_PROGRAMS", "UNREAD_FAMILY"]

NOT_PROVED = Explanation(
    "sheet",
    "not-proved",
    Severity.ERROR,
    what="A pair does not pass the proof, so there is no sheet of it.",
    why="A sheet invites to set the machine up; the programs it belongs to could hang, collide or drop the part.",
    example="gemel sheet port-block/35, whose family lost a stage",
    remedy="mend what the proof found, then make the sheet again",
)
OTHER_PROGRAMS = Explanation(
    "sheet",
    "other-programs",
    Severity.WARNING,
    what="The programs in `output/` are not those that the sheet is for.",
    why="A setter would find sequence numbers, offsets and states at the machine that the sheet does not know.",
    example="gemel sheet port-block/35 after a change of the family that was not written yet",
    remedy="write the pair first: `gemel write`; compare the stamp on the sheet with that in the head of the programs",
)
UNREAD_FAMILY = Explanation(
    "sheet",
    "unread-family",
    Severity.WARNING,
    what="A family has faults, so that sheets do not say which tools it shares.",
    why="The setter would take a station for free of change that another family wants filled differently.",
    example="gemel sheet while one family names a tool that is not in the catalogue",
    remedy="mend the family (`gemel check` says what is wrong) and make the sheets again",
)
FOREIGN_FILE = Explanation(
    "sheet",
    "foreign-file",
    Severity.ERROR,
    what="The folder for the sheets holds something that gemel did not put there.",
    why="The folder is exchanged as a whole; what somebody left there would be gone.",
    example="gemel sheet --to documents",
    remedy="move the file away, or name another folder with `--to`",
)
NO_PDF = Explanation(
    "sheet",
    "no-pdf",
    Severity.WARNING,
    what="The PDF could not be made; the page was.",
    why="The renderer comes as a wheel for common machines only, and it needs a font.",
    example="gemel sheet on a machine without fonts",
    remedy="print the page from a browser, or leave the PDF out with `--no-pdf`",
)
NOTHING_THERE = Explanation(
    "chart",
    "nothing-there",
    Severity.ERROR,
    what="There is no pair to compare with where it was looked for.",
    why="A comparison needs the programs of every channel as they were.",
    example="gemel chart port-block/35 --against HEAD~100",
    remedy="name a folder with one program for each channel, or a commit that has the pair in `output/`",
)
