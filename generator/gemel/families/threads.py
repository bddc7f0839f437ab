"""Threads by name: metric coarse and fine, parallel pipe (G), unified coarse and fine.

`thread("M8x1")` gives every diameter in mm as a `Number` whose origin names thread and standard. Published tables
round each diameter (metric 0.001 mm, unified 0.0001 inch, G its height h to 0.001 mm first): so do the values here.
"Minor diameter" is two sizes: d3 at the root of the external thread, D1 at the crest of the internal one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

from gemel.families._thread_tables import (
    METRIC_COARSE,
    METRIC_FINE,
    METRIC_GRADES_UM,
    PIPE,
    PIPE_TOLERANCES_MM,
    UNIFIED,
)
from gemel.families.infeed import infeed, infeed_phi
from gemel.numbers import Number, rounded, rule

__all__ = ["Band", "Thread", "UnknownThread", "infeed", "infeed_phi", "is_thread", "known_threads", "thread"]

_MM_PER_INCH = 25.4

# ISO 68-1 / DIN 13, per pitch: the 60 degree profile, H = sqrt(3)/2 P.
_PITCH_DIA = 0.6495191  # d - d2 = 3/4 H
_INTERNAL_MINOR = 1.0825318  # d - D1 = 5/4 H
_EXTERNAL_MINOR = 1.2268693  # d - d3 = 17/12 H
_ROOT = 0.1443376  # r = H/6
_WHITWORTH_ROOT = 0.137329  # r of the 55 degree profile
_WHITWORTH = 0.640327  # h of the 55 degree profile, ISO 228-1


class Band(NamedTuple):
    """Limits of one diameter, mm, the smallest and the largest allowed."""

    smallest_mm: Number
    largest_mm: Number


@dataclass(frozen=True, slots=True)
class Thread:
    """One thread as its standard has it, lengths in mm.

    Attributes:
        name: the name gemel uses, `M8x1`, `M5` (coarse), `G1/8`, `1/4-20 UNC`.
        standard: where the sizes come from.
        major_mm: d = D, basic.
        pitch_mm: P; of an inch thread unrounded, 25.4 over threads per inch.
        threads_per_inch: whole for inch threads, 25.4 over the pitch for metric ones.
        pitch_dia_mm: d2 = D2.
        external_minor_mm: d3, at the root of a screw.
        internal_minor_mm: D1, at the crest of a nut.
        depth_external_mm: h3, the depth that a screw is cut to, on the radius.
        depth_internal_mm: H1, the depth that a nut is cut to, on the radius.
        root_radius_mm: radius at the root of a screw, full form.
        tap_drill_mm: the usual tapping drill.
        minor_limits_mm: limits of D1 in `internal_class`.
        major_limits_mm: limits of d in `external_class`.
        internal_class: `6H`, `2B`, or `ISO 228` (G has one internal class).
        external_class: `6g`, `2A`, `A`.
    """

    name: str
    standard: str
    major_mm: Number
    pitch_mm: Number
    threads_per_inch: float
    pitch_dia_mm: Number
    external_minor_mm: Number
    internal_minor_mm: Number
    depth_external_mm: Number
    depth_internal_mm: Number
    root_radius_mm: Number
    tap_drill_mm: Number
    minor_limits_mm: Band
    major_limits_mm: Band
    internal_class: str
    external_class: str


class UnknownThread(ValueError):  # noqa: N818 # the fault is named by what the drawing says, not as a Python error
    """A thread that no table here holds.

    Attributes:
        name: the thread as written.
        known: every valid name, for a remedy.
    """

    def __init__(self, name: str, known: tuple[str, ...]) -> None:
        super().__init__(f"there is no thread `{name}` here")
        self.name = name
        self.known = known


def thread(name: str) -> Thread:
    """The thread that a name means; case, spaces, the multiplication sign do not matter, nor a coarse pitch or `UNC`.

    Raises:
        UnknownThread: no table here holds it.
    """
    canonical = _spellings().get(_folded(name))
    if canonical is None:
        raise UnknownThread(name, known_threads() + _coarse_in_full())
    return _built(canonical)


def is_thread(name: str) -> bool:
    """Whether a table here holds a thread of that name, in whatever spelling."""
    return _folded(name) in _spellings()


@lru_cache(maxsize=1)
def known_threads() -> tuple[str, ...]:
    """Every thread name, coarse metric first, then fine, pipe, unified."""
    coarse = tuple(f"M{size:g}" for size in METRIC_COARSE)
    fine = tuple(f"M{size:g}x{pitch:g}" for size, pitches in METRIC_FINE.items() for pitch in pitches)
    unified = tuple(
        f"{size}-{form[0]} {series}"
        for size, (_, *forms) in UNIFIED.items()
        for series, form in zip(("UNC", "UNF"), forms, strict=True)
        if form is not None
    )
    return coarse + fine + tuple(PIPE) + unified


def _coarse_in_full() -> tuple[str, ...]:
    return tuple(f"M{size:g}x{pitch:g}" for size, (pitch, _) in METRIC_COARSE.items())


def _folded(name: str) -> str:
    text = re.sub(r"\s+", "", name).casefold().replace("\N{MULTIPLICATION SIGN}", "x")
    # `M8x1.0` and `M5x.80` name the pitches 1 and 0.8.
    metric = re.fullmatch(r"m([0-9]+\.?[0-9]*)(?:x([0-9]+\.?[0-9]*|\.[0-9]+))?", text)
    if metric is None:
        return text
    size, pitch = metric.groups()
    return f"m{float(size):g}" + (f"x{float(pitch):g}" if pitch else "")


@lru_cache(maxsize=1)
def _spellings() -> dict[str, str]:
    table = {_folded(name): name for name in known_threads()}
    for size, (pitch, _) in METRIC_COARSE.items():
        table[f"m{size:g}x{pitch:g}"] = f"M{size:g}"
    for name in known_threads():
        if name.endswith(("UNC", "UNF")):
            # Size and threads per inch say it all; the series is a courtesy, and so is the number sign.
            folded = _folded(name)
            for text in (folded, folded[:-3]):
                table[text] = name
                table[text.removeprefix("#")] = name
    return table


@lru_cache(maxsize=256)
def _built(canonical: str) -> Thread:
    if canonical in PIPE:
        return _pipe(canonical)
    if canonical.startswith("M"):
        return _metric(canonical)
    return _unified(canonical)


@dataclass(frozen=True, slots=True)
class _Figures:
    """The plain figures of a thread, mm, before they learn where they come from."""

    major: float
    pitch: float
    threads_per_inch: float
    pitch_dia: float
    external_minor: float
    internal_minor: float
    depth_external: float
    depth_internal: float
    root_radius: float
    tap_drill: float


@dataclass(frozen=True, slots=True)
class _Limits:
    """Limits of the two diameters that are turned or drilled to size, mm, and their classes."""

    minor: tuple[float, float]
    major: tuple[float, float]
    internal_class: str
    external_class: str
    standard: str


def _metric(name: str) -> Thread:
    size_text, _, pitch_text = name[1:].partition("x")
    major = float(size_text)
    if pitch_text:
        pitch = float(pitch_text)
        drill = float(rounded(major - pitch, 1)) if pitch == 1.25 else round(major - pitch, 3)
    else:
        pitch, drill = METRIC_COARSE[major]
    figures = _sixty_degrees(major, pitch, drill, digits=3)
    minor_um, away_um, major_um = METRIC_GRADES_UM[pitch]
    smallest = figures.internal_minor
    largest = major - away_um / 1000
    limits = _Limits(
        (smallest, smallest + minor_um / 1000), (largest - major_um / 1000, largest), "6H", "6g", "ISO 965-1"
    )
    return _remembered(name, "ISO 724", figures, limits)


def _unified(name: str) -> Thread:
    size, _, rest = name.rpartition("-")
    tpi = int(rest.split()[0])
    major, coarse, fine = UNIFIED[size]
    form = coarse if name.endswith("UNC") else fine
    assert form is not None, "known_threads() names only the forms that the table has"
    figures = _sixty_degrees(major, 1 / tpi, form[1], digits=4)
    limits = _unified_limits(major, 1 / tpi, figures.internal_minor)
    return _remembered(name, "ASME B1.1", _in_mm(figures), limits)


def _sixty_degrees(major: float, pitch: float, drill: float, digits: int) -> _Figures:
    """Diameters of the ISO 68-1 profile in the unit of `major`, rounded as the tables print them."""

    def printed(value: float) -> float:
        return float(rounded(value, digits))

    return _Figures(
        major=major,
        pitch=pitch,
        threads_per_inch=round(_MM_PER_INCH / pitch, 9),
        pitch_dia=printed(major - _PITCH_DIA * pitch),
        external_minor=printed(major - _EXTERNAL_MINOR * pitch),
        internal_minor=printed(major - _INTERNAL_MINOR * pitch),
        depth_external=printed(_EXTERNAL_MINOR * pitch / 2),
        depth_internal=printed(_INTERNAL_MINOR * pitch / 2),
        root_radius=_ROOT * pitch,
        tap_drill=drill,
    )


def _in_mm(inches: _Figures) -> _Figures:
    lengths = {
        name: round(getattr(inches, name) * _MM_PER_INCH, 9)
        for name in _Figures.__slots__
        if name != "threads_per_inch"
    }
    return _Figures(threads_per_inch=round(1 / inches.pitch, 9), **lengths)


def _unified_limits(major: float, pitch: float, minor: float) -> _Limits:
    """Limits of classes 2B and 2A, mm, by the formulas of ASME B1.1 (from memory; inch inside, 0.0001 inch rounded).

    Recomputed against limits that are common knowledge: 1/4-20 2B minor .196 to .207, 2A major .2408 to .2489.
    """
    thirds = pitch ** (2 / 3)
    coarse_end = 0.25 * pitch - 0.4 * pitch**2
    if major < 0.25:
        nut = min(max(0.05 * thirds + 0.03 * pitch / major - 0.002, coarse_end), 0.394 * pitch)
    else:
        nut = coarse_end
    pitch_dia_tolerance = 0.0015 * major ** (1 / 3) + 0.0015 * major**0.5 + 0.015 * thirds
    largest = major - float(rounded(0.3 * pitch_dia_tolerance, 4))
    smallest = largest - float(rounded(0.06 * thirds, 4))
    nut_limits = (minor * _MM_PER_INCH, (minor + float(rounded(nut, 4))) * _MM_PER_INCH)
    return _Limits(nut_limits, (smallest * _MM_PER_INCH, largest * _MM_PER_INCH), "2B", "2A", "ASME B1.1")


def _pipe(name: str) -> Thread:
    tpi, major, drill = PIPE[name]
    pitch = _MM_PER_INCH / tpi
    # The standard rounds the height first and subtracts that: G1/2 is 18.631, not 18.632.
    depth = float(rounded(_WHITWORTH * pitch, 3))
    minor = round(major - 2 * depth, 3)
    figures = _Figures(
        major, pitch, tpi, round(major - depth, 3), minor, minor, depth, depth, _WHITWORTH_ROOT * pitch, drill
    )
    nut, screw = PIPE_TOLERANCES_MM[tpi]
    limits = _Limits((minor, minor + nut), (major - screw, major), "ISO 228", "A", "ISO 228-1")
    return _remembered(name, "ISO 228-1", figures, limits)


def _remembered(name: str, standard: str, figures: _Figures, limits: _Limits) -> Thread:
    def leaf(value: float, what: str, source: str = standard) -> Number:
        return rule(round(value, 9), f"{what} of {name}", source)

    def band(ends: tuple[float, float], what: str) -> Band:
        return Band(
            leaf(ends[0], f"smallest {what}", limits.standard), leaf(ends[1], f"largest {what}", limits.standard)
        )

    return Thread(
        name=name,
        standard=standard,
        major_mm=leaf(figures.major, "major diameter"),
        pitch_mm=rule(figures.pitch, f"pitch of {name}", standard),
        threads_per_inch=figures.threads_per_inch,
        pitch_dia_mm=leaf(figures.pitch_dia, "pitch diameter"),
        external_minor_mm=leaf(figures.external_minor, "root diameter"),
        internal_minor_mm=leaf(figures.internal_minor, "core diameter"),
        depth_external_mm=leaf(figures.depth_external, "external depth"),
        depth_internal_mm=leaf(figures.depth_internal, "internal depth"),
        root_radius_mm=leaf(figures.root_radius, "root radius"),
        tap_drill_mm=leaf(figures.tap_drill, "tapping drill", "tapping drill chart"),
        minor_limits_mm=band(limits.minor, f"core diameter {limits.internal_class}"),
        major_limits_mm=band(limits.major, f"major diameter {limits.external_class}"),
        internal_class=limits.internal_class,
        external_class=limits.external_class,
    )
