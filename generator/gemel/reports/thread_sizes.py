"""Sizes of threads: the gauge that decides, and the diameter that a plain gauge can check."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.threads import thread
from gemel.reports.gauges import gauge
from gemel.reports.sizes import Anchor, Asked, Size, plain

if TYPE_CHECKING:
    from collections.abc import Iterator

    from gemel.families.features import ThreadFeature
    from gemel.families.part import Part
    from gemel.families.threads import Thread
    from gemel.reports.sizes import Sizer

__all__ = ["inside_thread", "outside_thread", "whole_text"]


def whole_text(form: Thread, grade: str) -> str:
    """A thread as a drawing writes it, `M5 6H`; of a pipe thread the name says it all."""
    return form.name if grade.startswith("ISO") else f"{form.name} {grade}"


def outside_thread(name: str, feature: ThreadFeature, part: Part, sizer: Sizer) -> Iterator[Size]:
    """A thread that is cut on the axis, outside or in a bore."""
    length = float(part.length_mm)
    form = thread(feature.thread)
    start, end = float(feature.from_mm), float(feature.to_mm)
    if feature.side == "back":
        start, end = length - end, length - start
    if feature.where == "internal":
        yield from inside_thread(name, form, Anchor("side", (start + end) / 2, float(form.internal_minor_mm) / 2))
    else:
        anchor = Anchor("side", (start + end) / 2, float(form.major_mm) / 2)
        yield _thread(name, form, anchor, inside=False)
        low, high = form.major_limits_mm
        named = (name, "outside diameter of the thread", form.external_class)
        yield _limited(named, f"\N{DIAMETER SIGN}{plain(high)}", (low, high), anchor)
    if end < length:
        what = "end of the full thread, from the front face"
        yield sizer.size(Asked(name, what, "length", feature.to_mm, Anchor("span", 0, end)))


def inside_thread(name: str, form: Thread, anchor: Anchor, before: str = "") -> Iterator[Size]:
    """A tapped hole; `before` is written before its name, as `4 x `."""
    yield _thread(name, form, anchor, inside=True, before=before)
    low, high = form.minor_limits_mm
    text = f"\N{DIAMETER SIGN}{plain(low)} core"
    yield _limited((name, "core diameter of the thread", form.internal_class), text, (low, high), anchor)


def _thread(name: str, form: Thread, anchor: Anchor, *, inside: bool, before: str = "") -> Size:
    grade = form.internal_class if inside else form.external_class
    return Size(
        number=0,
        feature=name,
        what="thread",
        text=before + whole_text(form, grade),
        nominal_mm=float(form.major_mm),
        aimed_mm=float(form.major_mm),
        smallest_mm=None,
        largest_mm=None,
        tolerance=grade,
        gauge=gauge("inside thread" if inside else "outside thread", None),
        anchor=anchor,
    )


def _limited(named: tuple[str, str, str], text: str, ends: tuple[float, float], anchor: Anchor) -> Size:
    name, what, grade = named
    low, high = (float(end) for end in ends)
    kind = "core" if "core" in what else "outside"
    return Size(
        number=0,
        feature=name,
        what=what,
        text=text,
        nominal_mm=low if kind == "core" else high,
        aimed_mm=(low + high) / 2,
        smallest_mm=low,
        largest_mm=high,
        tolerance=grade,
        gauge=gauge(kind, high - low),
        anchor=anchor,
    )
