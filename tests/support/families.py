"""Families that nobody drew: a hypothesis strategy for whole family files that a shop could have written."""

from __future__ import annotations

from typing import NamedTuple

from hypothesis import strategies as st

__all__ = ["Made", "families"]

_TAPPED = {"M4": ("drill-3.3", "tap-m4", 0.7), "M5": ("drill-4.2", "tap-m5", 0.8), "M6": ("drill-5", "tap-m6", 1.0)}
_LEFT = "channel: lower, spindle: left"
_RIGHT = "channel: lower, spindle: right"
_HEAD = "channel: upper, spindle: left"


class Made(NamedTuple):
    """A family file: its text, the machine it is for, and how long and thick the parts are, mm."""

    text: str
    machine: str
    length_mm: float
    stock_mm: float


class _Pages:
    """Features, operations and what each channel does, as they are thought up."""

    def __init__(self, unit: str) -> None:
        self.unit = unit
        self.features: list[str] = []
        self.operations: list[str] = []
        self.lower: list[str] = []
        self.upper: list[str] = []
        self.stations: dict[str, dict[str, str]] = {"upper": {}, "lower": {}}

    def mm(self, value: float) -> str:
        """A length in the family's unit."""
        return f"{value / 25.4:.6f}" if self.unit == "inch" else f"{value:.4g}"

    def feature(self, name: str, fields: str) -> None:
        self.features.append(f"  {name}: {{{fields}}}")

    def operation(self, name: str, fields: str, work: list[str] | None = None) -> None:
        self.operations.append(f"  {name}: {{{fields}}}")
        if work is not None:
            work.append(name)

    def hold(self, channel: str, tool: str) -> None:
        """Put a tool into the next free station of a channel."""
        held = self.stations[channel]
        if tool not in held.values():
            held[str((5 if channel == "upper" else 9) + len(held))] = tool


@st.composite
def families(draw: st.DrawFn) -> Made:
    """A family with one member: some turning, perhaps flats, holes and a thread, hand-over, cut-off, second side."""
    pages = _Pages(draw(st.sampled_from(["mm", "mm", "inch"])))
    stock = draw(st.sampled_from([18.0, 20.0, 22.0, 25.0, 28.0, 30.0, 32.0]))
    length = draw(st.integers(60, 160)) / 2
    mm = pages.mm
    pages.feature("whole", f"kind: part, length: {mm(length)}")
    pages.feature("bar", f"kind: bar, stick_out: {mm(length + 15)}, allowance: {mm(0.5)}")
    pages.feature("front", "kind: face, side: front")
    pages.feature("back", "kind: face, side: back")
    pages.operation("feed-bar", f"feature: bar, process: bar_feed, {_LEFT}, tool: bar-stop, coolant: none", pages.lower)
    pages.operation("face-front", f"feature: front, process: face, {_LEFT}, tool: turn-rough-80", pages.lower)
    shoulder, head = draw(_turned(pages, length, stock))
    if draw(st.booleans()):
        pages.hold("lower", "axial-drill-5")
        deep = mm(draw(st.integers(8, min(30, int(length) - 4))))
        pages.feature("hole", f"kind: axial_hole, diameter: {mm(5)}, depth: {deep}")
        fields = f"feature: hole, process: drill_axial, {_LEFT}, tool: axial-drill-5, cutting: {{peck: {mm(4)}}}"
        pages.operation("drill-hole", fields, pages.lower)
    surface = draw(_flats(pages, (shoulder, length), (stock, head)))
    draw(_cross_holes(pages, (shoulder, length), surface))
    _second_side(pages, length, head)
    machine = draw(st.sampled_from(["twin-turnmill", "inch-duplex"]))
    stages = draw(_stages(pages))
    material = draw(st.sampled_from(["aluminium-6082", "brass-cuzn39pb3", "stainless-1.4305"]))
    repeat = "true" if draw(st.booleans()) else "false"
    head_rows = [
        "family: thought-up",
        "title: A part that nobody drew",
        "drawing: {number: T-1, revision: A}",
        f"machine: {machine}",
        f"material: {material}",
        f"unit: {pages.unit}",
        f"stock: {{shape: round, size: {mm(stock)}, bar: {mm(3000)}, remnant: {mm(120)}}}",
        f"repeat: {repeat}",
        'members: {"1": {program: 1001}}',
        "stations:",
        *(f"  {channel}: {{{_pairs(held)}}}" for channel, held in pages.stations.items()),
    ]
    rows = [*head_rows, "features:", *pages.features, "operations:", *pages.operations, "stages:", *stages]
    return Made("\n".join(rows) + "\n", machine, length, stock)


def _pairs(held: dict[str, str]) -> str:
    return ", ".join(f'"{station}": {tool}' for station, tool in held.items())


@st.composite
def _turned(draw: st.DrawFn, pages: _Pages, length: float, stock: float) -> tuple[float, float]:
    """A profile of one to three diameters, perhaps with a thread; gives where the last one begins, and its diameter."""
    count = draw(st.integers(0, 3))
    if count == 0:
        return 0.0, stock
    mm = pages.mm
    head = stock - draw(st.integers(4, 10)) / 5
    dias = sorted(draw(st.lists(st.integers(8, int(head) - 3), min_size=count - 1, max_size=count - 1, unique=True)))
    ends = sorted(
        draw(st.lists(st.integers(10, int(length) - 18), min_size=count - 1, max_size=count - 1, unique=True))
    )
    threaded = bool(dias) and draw(st.booleans()) and ends[0] >= 10
    dias_mm = [float(dia) for dia in dias]
    if threaded:
        dias_mm[0] = 7.9
    steps = [
        f"{{diameter: {mm(dia)}, to: {mm(end)}, chamfer: {mm(0.4)}}}"
        for dia, end in zip([*dias_mm, head], [*ends, length + 0.3], strict=True)
    ]
    pages.feature("profile", f"kind: turned, steps: [{', '.join(steps)}]")
    pages.operation("rough", f"feature: profile, process: rough_turn, {_LEFT}, tool: turn-rough-80", pages.lower)
    pages.operation("finish", f"feature: profile, process: finish_turn, {_LEFT}, tool: turn-finish-35", pages.lower)
    if threaded:
        pages.feature("thread", f"kind: thread, thread: M8, from: 0, to: {mm(ends[0] - 4)}, run_out: {mm(2)}")
        pages.operation(
            "cut-thread", f"feature: thread, process: external_thread, {_LEFT}, tool: thread-60", pages.lower
        )
    return float(ends[-1]) if ends else 0.0, head


@st.composite
def _flats(draw: st.DrawFn, pages: _Pages, along: tuple[float, float], dias: tuple[float, float]) -> float:
    """Flats on the last diameter, or none; gives X of the surface that holes are drilled from."""
    count = draw(st.sampled_from([0, 0, 1, 2, 3, 4, 6]))
    start, length = along
    stock, head = dias
    if count == 0:
        return head
    across = round(head * draw(st.integers(75, 92)) / 100, 2)
    tool = draw(st.sampled_from(["end-mill-6", "end-mill-12"]))
    begin = start + 1.0 if head < stock else 0.0
    mm = pages.mm
    pages.feature(
        "flats",
        f"kind: flats, count: {count}, across: {mm(across)}, from: {mm(begin)}, to: {mm(length + 2.3)}, "
        f"angle: {draw(st.integers(0, 90))}",
    )
    leave = draw(st.sampled_from(["", f", leave: {mm(0.2)}"]))
    pages.operation("mill-flats", f"feature: flats, process: mill_flats, {_HEAD}, tool: {tool}{leave}", pages.upper)
    return across


@st.composite
def _cross_holes(draw: st.DrawFn, pages: _Pages, along: tuple[float, float], surface: float) -> None:
    """Tapped or plain holes across, or none."""
    if draw(st.booleans()):
        return
    start, length = along
    mm = pages.mm
    name = draw(st.sampled_from(sorted(_TAPPED)))
    drill, tap, pitch = _TAPPED[name]
    pages.hold("upper", drill)
    first, room = start + 6.0, length - start - 12.0
    count = draw(st.integers(1, max(1, min(3, int(room / 8)))))
    angles = draw(st.sampled_from(["[0]", "[0, 180]", "{first: 30, step: 120, count: 3}"]))
    place = f"at: {{first: {mm(first)}, step: {mm(room / count)}, count: {count}}}, angle: {angles}"
    tapped = draw(st.booleans())
    hole = f"thread: {name}, drill_depth: {mm(4 + 3 * pitch)}" if tapped else f"diameter: {drill.partition('-')[2]}"
    if not tapped and pages.unit == "inch":
        hole = f"diameter: {mm(float(drill.partition('-')[2]))}"
    pages.feature(
        "holes", f"kind: cross_hole, {place}, {hole}, depth: {mm(4)}, surface: {mm(surface)}, chamfer: {mm(0.2)}"
    )
    pages.operation("spot", f"feature: holes, process: spot, {_HEAD}, tool: spot-drill-8", pages.upper)
    peck = f"cutting: {{peck: {mm(draw(st.sampled_from([1.5, 3.0])))}}}"
    pages.operation("drill", f"feature: holes, process: drill_cross, {_HEAD}, tool: {drill}, {peck}", pages.upper)
    if tapped:
        pages.hold("upper", tap)
        pages.operation("tap", f"feature: holes, process: tap_cross, {_HEAD}, tool: {tap}", pages.upper)


def _second_side(pages: _Pages, length: float, head: float) -> None:
    mm = pages.mm
    take = f"slide: {mm(-(560 - length))}, grip: {mm(10)}"
    pages.operation("take", f"feature: whole, process: take_over, {_RIGHT}, tool: cut-off-2, {take}")
    pages.operation("part-off", f"feature: back, process: cut_off, {_LEFT}, tool: cut-off-2, allowance: {mm(0.3)}")
    pages.operation("face-back", f"feature: back, process: back_face, {_RIGHT}, tool: turn-rough-80")
    edge = f"size: {mm(0.4)}, diameter: {mm(head)}"
    pages.operation("edge-back", f"feature: back, process: back_chamfer, {_RIGHT}, tool: turn-finish-35, {edge}")
    pages.operation("away", f"feature: whole, process: part_away, {_RIGHT}, tool: turn-rough-80")


@st.composite
def _stages(draw: st.DrawFn, pages: _Pages) -> list[str]:
    """Turning in one to three stages, the head's work in one or two, then the hand-over and the second side."""
    rows = []
    for channel, work, most in (("lower", pages.lower, 3), ("upper", pages.upper, 2)):
        cuts = sorted(draw(st.sets(st.integers(1, max(1, len(work) - 1)), max_size=most - 1)))
        parts = [work[a:b] for a, b in zip([0, *cuts], [*cuts, len(work)], strict=True)]
        rows += [f"  - {{{channel}: [{', '.join(part)}]}}" for part in parts if part]
    return [*rows, "  - {lower: [take, part-off]}", "  - {lower: [face-back, edge-back]}", "  - {lower: [away]}"]
