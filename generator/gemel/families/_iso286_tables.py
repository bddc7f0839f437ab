"""Tables of ISO 286-1, in micrometres: standard tolerances and fundamental deviations up to 120 mm.

Standard tolerances over 3 up to 80 mm, IT5 to IT11: the published table (two copies agree). The formula
i = 0.45 D^(1/3) + 0.001 D does not give it: the rounding is not regular. All the rest is from memory: rows up to
3 mm and over 80 mm, grades IT12 to IT14, every fundamental deviation (f confirmed by published f9 limits).
"""

from __future__ import annotations

__all__ = ["FUNDAMENTAL_UM", "GRADES", "IT4_UM", "STEPS_MM", "TOLERANCE_UM"]

# Upper end of each step of nominal sizes, included in the step; the lower end is not.
# These are the fine steps: some deviations split the coarse steps of the tolerances.
STEPS_MM = (3.0, 6.0, 10.0, 18.0, 30.0, 40.0, 50.0, 65.0, 80.0, 100.0, 120.0)

GRADES = tuple(range(5, 15))

_COARSE = (0, 1, 2, 3, 4, 5, 5, 6, 6, 7, 7)

_COARSE_TOLERANCE_UM = {
    #    -3   -6  -10  -18  -30  -50  -80 -120 mm
    5: (4, 5, 6, 8, 9, 11, 13, 15),
    6: (6, 8, 9, 11, 13, 16, 19, 22),
    7: (10, 12, 15, 18, 21, 25, 30, 35),
    8: (14, 18, 22, 27, 33, 39, 46, 54),
    9: (25, 30, 36, 43, 52, 62, 74, 87),
    10: (40, 48, 58, 70, 84, 100, 120, 140),
    11: (60, 75, 90, 110, 130, 160, 190, 220),
    12: (100, 120, 150, 180, 210, 250, 300, 350),
    13: (140, 180, 220, 270, 330, 390, 460, 540),
    14: (250, 300, 360, 430, 520, 620, 740, 870),
}

TOLERANCE_UM = {grade: tuple(row[step] for step in _COARSE) for grade, row in _COARSE_TOLERANCE_UM.items()}

# IT4 on the fine steps: only the correction of a hole of grade 5 needs it.
IT4_UM = tuple((3, 4, 4, 5, 6, 7, 8, 10)[step] for step in _COARSE)

# Distance of a shaft from the zero line: es of a to h (at or below it), ei of k to s (at or above it).
FUNDAMENTAL_UM = {
    #     -3   -6  -10  -18  -30  -40  -50  -65  -80 -100 -120 mm
    "c": (-60, -70, -80, -95, -110, -120, -130, -140, -150, -170, -180),
    "d": (-20, -30, -40, -50, -65, -80, -80, -100, -100, -120, -120),
    "e": (-14, -20, -25, -32, -40, -50, -50, -60, -60, -72, -72),
    "f": (-6, -10, -13, -16, -20, -25, -25, -30, -30, -36, -36),
    "g": (-2, -4, -5, -6, -7, -9, -9, -10, -10, -12, -12),
    "h": (0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0),
    "k": (0, 1, 1, 1, 2, 2, 2, 2, 2, 3, 3),
    "m": (2, 4, 6, 7, 8, 9, 9, 11, 11, 13, 13),
    "n": (4, 8, 10, 12, 15, 17, 17, 20, 20, 23, 23),
    "p": (6, 12, 15, 18, 22, 26, 26, 32, 32, 37, 37),
    "r": (10, 15, 19, 23, 28, 34, 34, 41, 43, 51, 54),
    "s": (14, 19, 23, 28, 35, 43, 43, 53, 59, 71, 79),
}
