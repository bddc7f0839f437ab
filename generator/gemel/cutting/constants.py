"""Kienzle constants of material groups, and densities.

The two sets differ by up to half for what is called the same steel (other rake, wear and definition): a value of one
set is never mixed with the other. Starting values both.
"""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["DENSITY_KG_M3", "GROUPS", "TEXTBOOK", "SpecificForce"]


class SpecificForce(NamedTuple):
    """Constants of kc = kc1.1 h^-mc.

    Attributes:
        force_unit_n_mm2: kc1.1, the specific force at a chip 1 mm thick and 1 mm wide.
        exponent: mc.
    """

    force_unit_n_mm2: float
    exponent: float


# By VDI 3323 material group: published table, three copies agree.
GROUPS = {
    "non-alloy steel, below 0.25 % C, annealed": SpecificForce(1350, 0.21),
    "non-alloy steel, from 0.25 % C, annealed": SpecificForce(1500, 0.22),
    "non-alloy steel, below 0.55 % C, quenched and tempered": SpecificForce(1675, 0.24),
    "non-alloy steel, from 0.55 % C": SpecificForce(1700, 0.24),
    "low-alloy steel, annealed": SpecificForce(1775, 0.24),
    "low-alloy steel, quenched and tempered, 275 HB": SpecificForce(1675, 0.24),
    "low-alloy steel, quenched and tempered, 300 HB": SpecificForce(1725, 0.24),
    "high-alloy steel, annealed": SpecificForce(2450, 0.23),
    "stainless steel, ferritic or martensitic": SpecificForce(1875, 0.21),
    "stainless steel, austenitic": SpecificForce(2150, 0.20),
    # The three rows of cast iron are published; which is which is from memory.
    "cast iron, grey, 180 HB": SpecificForce(1150, 0.20),
    "cast iron, grey, 260 HB": SpecificForce(1350, 0.28),
    "cast iron, nodular, 160 HB": SpecificForce(1225, 0.25),
    "aluminium, wrought": SpecificForce(700, 0.25),
    "aluminium, wrought, hardenable": SpecificForce(800, 0.25),
    "aluminium, cast": SpecificForce(700, 0.25),
    "brass and leaded copper alloys": SpecificForce(700, 0.27),
}

# Textbook constants, from memory; each was held against a published table of force over feed at 45 degrees
# and agrees within 3.2 %.
TEXTBOOK = {
    "E295": SpecificForce(1990, 0.26),
    "E335": SpecificForce(2110, 0.17),
    "E360": SpecificForce(2260, 0.30),
    "42CrMo4": SpecificForce(2500, 0.26),
    "16MnCr5": SpecificForce(2100, 0.26),
    "St42": SpecificForce(1780, 0.17),
}

# Rolled steel: EN 10060; brass, aluminium: published tables; stainless, free-cutting brass, EN AW-6082: from memory.
DENSITY_KG_M3 = {
    "steel": 7850.0,
    "stainless steel 1.4301": 7900.0,
    "brass CuZn39Pb3": 8450.0,
    "brass 60/40": 8520.0,
    "aluminium": 2712.0,
    "aluminium EN AW-6061": 2720.0,
    "aluminium EN AW-6082": 2700.0,
}
