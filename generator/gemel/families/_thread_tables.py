"""Sizes of threads that a table must give: pitches, tapping drills, tolerances. Diameters follow by formula.

Metric, M3 to M24 coarse: ISO 261/262 as seen; other sizes, and whatever says so below, from memory.
"""

from __future__ import annotations

__all__ = [
    "METRIC_COARSE",
    "METRIC_FINE",
    "METRIC_GRADES_UM",
    "PIPE",
    "PIPE_TOLERANCES_MM",
    "UNIFIED",
]

# Nominal size: (pitch, tapping drill), mm. Drills M3 to M16 after charts that follow ISO 2306; the rest from memory.
METRIC_COARSE: dict[float, tuple[float, float]] = {
    1.6: (0.35, 1.25),
    2: (0.4, 1.6),
    2.5: (0.45, 2.05),
    3: (0.5, 2.5),
    3.5: (0.6, 2.9),
    4: (0.7, 3.3),
    5: (0.8, 4.2),
    6: (1, 5.0),
    7: (1, 6.0),
    8: (1.25, 6.8),
    9: (1.25, 7.8),
    10: (1.5, 8.5),
    12: (1.75, 10.2),
    14: (2, 12.0),
    16: (2, 14.0),
    18: (2.5, 15.5),
    20: (2.5, 17.5),
    22: (2.5, 19.5),
    24: (3, 21.0),
    27: (3, 24.0),
    30: (3.5, 26.5),
    33: (3.5, 29.5),
    36: (4, 32.0),
    39: (4, 35.0),
    42: (4.5, 37.5),
}

# Nominal size: fine pitches (ISO 261, from memory but for those of M8, M10, M12). The drill is size less pitch,
# for P 1.25 rounded up to 0.1 as the charts have it (M10x1.25: 8.8).
METRIC_FINE: dict[float, tuple[float, ...]] = {
    3: (0.35,),
    4: (0.5,),
    5: (0.5,),
    6: (0.75, 0.5),
    7: (0.75,),
    8: (1, 0.75),
    9: (1, 0.75),
    10: (1.25, 1, 0.75),
    12: (1.5, 1.25, 1),
    14: (1.5, 1.25, 1),
    15: (1.5, 1),
    16: (1.5, 1),
    17: (1.5, 1),
    18: (2, 1.5, 1),
    20: (2, 1.5, 1),
    22: (2, 1.5, 1),
    24: (2, 1.5, 1),
    25: (2, 1.5, 1),
    26: (1.5,),
    27: (2, 1.5, 1),
    28: (2, 1.5, 1),
    30: (3, 2, 1.5, 1),
    32: (2, 1.5),
    33: (3, 2, 1.5),
    35: (1.5,),
    36: (3, 2, 1.5),
    38: (1.5,),
    39: (3, 2, 1.5),
    40: (3, 2, 1.5),
    42: (3, 2, 1.5),
}

# Pitch: (6H tolerance of the internal minor diameter, distance of 6g from the basic size, 6g tolerance of the
# external major diameter), micrometres, ISO 965-1. P 0.5 to 2 recomputed from published limits; the rest from memory.
METRIC_GRADES_UM: dict[float, tuple[int, int, int]] = {
    0.35: (100, 19, 85),
    0.4: (112, 19, 95),
    0.45: (125, 20, 100),
    0.5: (140, 20, 106),
    0.6: (160, 21, 125),
    0.7: (180, 22, 140),
    0.75: (190, 22, 140),
    0.8: (200, 24, 150),
    1: (236, 26, 180),
    1.25: (265, 28, 212),
    1.5: (300, 32, 236),
    1.75: (335, 34, 265),
    2: (375, 38, 280),
    2.5: (450, 42, 335),
    3: (500, 48, 375),
    3.5: (560, 53, 425),
    4: (600, 60, 475),
    4.5: (670, 63, 500),
}

# Name: (threads per inch, major diameter mm, tapping drill mm), ISO 228-1. G1/16 to G1/2 as seen, G3/4 and G1
# recomputed, the rest from memory. Drills of 11.5 for G1/4 and 8.6 for G1/8 are for the taper thread, not for this one.
PIPE: dict[str, tuple[int, float, float]] = {
    "G1/16": (28, 7.723, 6.8),
    "G1/8": (28, 9.728, 8.8),
    "G1/4": (19, 13.157, 11.8),
    "G3/8": (19, 16.662, 15.25),
    "G1/2": (14, 20.955, 19.0),
    "G5/8": (14, 22.911, 21.0),
    "G3/4": (14, 26.441, 24.5),
    "G7/8": (14, 30.201, 28.25),
    "G1": (11, 33.249, 30.75),
    "G1 1/8": (11, 37.897, 35.5),
    "G1 1/4": (11, 41.910, 39.5),
    "G1 1/2": (11, 47.803, 45.25),
    "G2": (11, 59.614, 57.0),
}

# Threads per inch: (tolerance of the internal minor diameter, upwards; of the external major, downwards), mm,
# ISO 228-1, from memory.
PIPE_TOLERANCES_MM: dict[int, tuple[float, float]] = {
    28: (0.282, 0.214),
    19: (0.445, 0.250),
    14: (0.541, 0.284),
    11: (0.640, 0.360),
}

# Size: (major diameter inch, (UNC threads per inch, drill inch), the same for UNF), ASME B1.1. #6 to 1/2 as far as
# published charts were seen; the rest and every drill (numbered, lettered, fractional) from memory. Charts give 9/16-18
# and 5/8-18 inch drills a hair over the 2B limit (33/64, 37/64): here stand the metric drills 12.9 and 14.5.
UNIFIED: dict[str, tuple[float, tuple[int, float] | None, tuple[int, float] | None]] = {
    "#0": (0.060, None, (80, 0.0469)),
    "#1": (0.073, (64, 0.0595), (72, 0.0595)),
    "#2": (0.086, (56, 0.0700), (64, 0.0700)),
    "#3": (0.099, (48, 0.0785), (56, 0.0820)),
    "#4": (0.112, (40, 0.0890), (48, 0.0935)),
    "#5": (0.125, (40, 0.1015), (44, 0.1040)),
    "#6": (0.138, (32, 0.1065), (40, 0.1130)),
    "#8": (0.164, (32, 0.1360), (36, 0.1360)),
    "#10": (0.190, (24, 0.1495), (32, 0.1590)),
    "#12": (0.216, (24, 0.1770), (28, 0.1820)),
    "1/4": (0.250, (20, 0.2010), (28, 0.2130)),
    "5/16": (0.3125, (18, 0.2570), (24, 0.2720)),
    "3/8": (0.375, (16, 0.3125), (24, 0.3320)),
    "7/16": (0.4375, (14, 0.3680), (20, 0.390625)),
    "1/2": (0.500, (13, 0.421875), (20, 0.453125)),
    "9/16": (0.5625, (12, 0.484375), (18, 12.9 / 25.4)),
    "5/8": (0.625, (11, 0.53125), (18, 14.5 / 25.4)),
    "3/4": (0.750, (10, 0.65625), (16, 0.6875)),
    "7/8": (0.875, (9, 0.765625), (14, 0.8125)),
    "1": (1.000, (8, 0.875), (12, 0.921875)),
}
