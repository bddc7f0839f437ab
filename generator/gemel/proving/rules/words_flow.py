"""Codes of the family `words` about the flow of a program and about what cannot be known from it."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["RULES"]

RULES = (
    Explanation(
        "words",
        "position-unknown",
        Severity.ERROR,
        "Axis words stand in a block with a code that is not understood, or X is given in machine coordinates other "
        "than home, or a target cannot be computed.",
        "Nobody can say where the tool is afterwards: zones, cuts and travel behind this block rest on sand.",
        "G53 X-120.",
        "give the target in the work offset, or home the axis behind the block",
    ),
    Explanation(
        "words",
        "jump",
        Severity.ERROR,
        "A jump, a condition, a loop or a return to a block number is not followed, because it cannot be decided.",
        "What the program does then depends on values that are not in it; the proof holds for one way only.",
        "IF [#500 GT 5] GOTO 10",
        "set the variable in the program, or write the way out",
    ),
    Explanation(
        "words",
        "call-depth",
        Severity.ERROR,
        "Subprograms are nested deeper than the control allows.",
        "The control stops with an alarm in the middle of the part.",
        "O1 M98 P1",
        "set the innermost subprogram in place",
    ),
    Explanation(
        "words",
        "no-program",
        Severity.ERROR,
        "A subprogram is called that is in none of the files.",
        "The control stops with an alarm, or runs whatever program of that number it holds.",
        "M98 P9001",
        "give the file that holds the subprogram, or correct its number",
    ),
    Explanation(
        "words",
        "no-end",
        Severity.WARNING,
        "The program ends with neither an end code nor a repeat.",
        "What the control does at the end of the text differs from control to control.",
        "G28 U0 W0      (last line)",
        "end the program with the end code",
    ),
    Explanation(
        "words",
        "not-understood",
        Severity.NOTE,
        "A word is not understood; what it does is not proved.",
        "The finding list is silent about it; whoever reads the proof must know.",
        "M456",
        "look it up in the builder's manual, and add it to the machine file if it matters",
    ),
    Explanation(
        "words",
        "bounded",
        Severity.NOTE,
        "The check was cut short: a channel still changed from pass to pass, or there were too many jumps or faults.",
        "What lies behind the bound was not looked at.",
        "#500 = #500 + 1\nM99",
        "make the passes alike, or split the stage with a wait",
    ),
    Explanation(
        "words",
        "not-finished",
        Severity.ERROR,
        "Between two waits the channels have more ways to follow each other than are looked at.",
        "What was not looked at is not proved.",
        "upper: hundreds of M45 M46 without a wait\nlower: hundreds of M73 M74 without a wait",
        "set a wait of all channels in the middle of that stage",
    ),
)
