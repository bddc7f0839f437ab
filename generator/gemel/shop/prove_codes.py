"""What can be wrong with the files that are to be proved."""

from __future__ import annotations

from gemel.findings import Explanation, Severity

__all__ = ["NOT_A_PROGRAM", "OTHER_MACHINE", "SAME_FILE", "TOO_FEW", "TOO_LARGE", "WRONG_CHANNEL"]

NOT_A_PROGRAM = Explanation(
    "shop",
    "not-a-program",
    Severity.ERROR,
    what="The file is no text of a program.",
    why="A picture or a packed file that is read as a program gives thousands of findings and no insight.",
    example="gemel prove photo.jpg a.lower.nc",
    remedy="name the text of the program",
)
TOO_LARGE = Explanation(
    "shop",
    "too-large",
    Severity.ERROR,
    what="The file is larger than any program that gemel reads.",
    why="A proof must end in bounded time and memory.",
    example="gemel prove backup.img a.lower.nc",
    remedy="name the text of the program",
)
TOO_FEW = Explanation(
    "shop",
    "channels-missing",
    Severity.ERROR,
    what="Not every channel of the machine has a file.",
    why="What two channels do to each other shows only in both of them.",
    example="gemel prove a.upper.nc",
    remedy="name one file for each channel, in the order of the machine file",
)
SAME_FILE = Explanation(
    "shop",
    "same-file",
    Severity.ERROR,
    what="One file is given for two channels.",
    why="A pair is proved from the programs of different channels.",
    example="gemel prove a.upper.nc a.upper.nc",
    remedy="name the other channel's file",
)
WRONG_CHANNEL = Explanation(
    "shop",
    "wrong-channel",
    Severity.ERROR,
    what="A file looks like the program of another channel.",
    why="Its tools and axes belong to the other channel; every finding about it would be nonsense.",
    example="gemel prove a.lower.nc a.upper.nc",
    remedy="swap the files: they come in the order in which the machine file names the channels",
)
OTHER_MACHINE = Explanation(
    "shop",
    "other-machine",
    Severity.ERROR,
    what="The programs are written for another machine of the shop.",
    why="Codes have other meanings there: a proof with the wrong machine file says nothing about the right one.",
    example="gemel prove a.upper.nc a.lower.nc --machine inch-duplex",
    remedy="name the machine that the programs are for",
)
