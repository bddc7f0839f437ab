"""One block at a time: what it does in the order of execution, and what lives on from it.

Order inside a block: the tool; modes, F, S; every other function; the motion; the functions that act behind it; the
wait; the call of a subprogram; end or repeat. Assignments take effect behind the whole block.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.reading.contour import Contour, chords_of, follow, rough
from gemel.reading.dialect import is_whole
from gemel.reading.drilling import drill
from gemel.reading.jumps import follow_flow
from gemel.reading.lexical import check_spelling
from gemel.reading.line import Line, Lookup
from gemel.reading.moves import arc, home, lose_position, machine, rename, scale, straight
from gemel.reading.run import Speed, Step, ToolCall, Wait
from gemel.reading.turning import groove, single, thread

if TYPE_CHECKING:
    from gemel.reading.blocks import Block
    from gemel.reading.dialect import Dialect, Function
    from gemel.reading.flow import Flow
    from gemel.reading.run import Motion, Remark
    from gemel.reading.state import State

__all__ = ["Interpreter"]

_MODAL = frozenset({"plane", "unit", "compensation", "offset", "speed-mode", "feed-mode", "distance", "return"})
_FLOW = frozenset({"end", "repeat", "call", "macro"})
_ONE_SHOT = frozenset({"home", "machine", "dwell", "data", "speed-clamp", "origin", "cycle", "plain"})
_DRILLING = frozenset({"drill", "tap", "bore"})
_SINGLE = frozenset({"single-turn", "single-thread", "single-face"})
_STRAIGHT = frozenset({"rapid", "feed", "thread"})
_MOTIONS = frozenset({"rapid", "feed", "arc-cw", "arc-ccw"})


def _is_contour(line: Line) -> bool:
    """Whether a block of a contour holds nothing that a cycle would leave out or do at another moment."""
    known = all(f.kind in _MODAL or f.kind == "plain" or f.state in _MOTIONS for _, f in line.functions)
    return known and not (line.waits or line.block.parts.statements or "T" in line.values)


class _Functions(NamedTuple):
    """Function codes of a block, those that act behind the motion apart."""

    before: tuple[Function, ...]
    late: tuple[Function, ...]


class Interpreter:
    """Carries out blocks on one state.

    Attributes:
        dialect: what words mean.
        state: the modal state, changed by every block.
        flow: where blocks come from; jumps and calls go there.
        pass_number: noted in every step.
    """

    def __init__(self, dialect: Dialect, state: State, flow: Flow, pass_number: int) -> None:
        self.dialect = dialect
        self.state = state
        self.flow = flow
        self.pass_number = pass_number
        self._lookup = Lookup(dialect)
        self._spelling: dict[Block, tuple[Remark, ...]] = {}

    def step(self, block: Block) -> Step:
        """What the block does; the state is then that behind it, and the flow goes on where it says."""
        state = self.state
        line = Line(block, self._lookup, state.variables)
        self._spell(line)
        tool = self._tool(line)
        offset_before = state.modes.get("offset")
        self._modes(line)
        functions = self._functions(line)
        self._feed_and_speed(line, functions)
        dwell_s = self._dwell(line)
        axes = self._axes(line)
        motions = self._motions(line)
        self.flow.motions += len(motions)
        depth = self.flow.depth
        self._check_feed(line, motions)
        wait = self._wait(line)
        follow_flow(line, self.flow)
        self._note_strange(line)
        offset = state.modes.get("offset")
        cycle = state.cycle
        return Step(
            block=block,
            pass_number=self.pass_number,
            tool=tool,
            functions=functions.before,
            motions=motions,
            late=functions.late,
            wait=wait,
            offset=offset.which if offset else "",
            offset_name=offset.state if offset else "",
            changes_offset=offset != offset_before,
            axes=axes,
            plane=state.mode("plane"),
            speed=state.speed,
            feed=state.feed,
            feed_mode=state.mode("feed-mode"),
            dwell_s=dwell_s,
            cycle=cycle.kind if cycle else "",
            peck=cycle.peck if cycle else 0.0,
            compensation=state.mode("compensation"),
            skippable=block.parts.skip > 0,
            depth=depth,
            remarks=tuple(line.remarks),
        )

    def _spell(self, line: Line) -> None:
        """Adds the remarks on the spelling; those of a block without expressions are looked for once."""
        known = self._spelling.get(line.block)
        if known is not None:
            line.remarks.extend(known)
            return
        before = len(line.remarks)
        check_spelling(line, self.dialect)
        if not any(w.expression for w in line.block.words):
            self._spelling[line.block] = tuple(line.remarks[before:])

    def has_spelling_fault(self, block: Block) -> bool:
        """Whether a block that is not carried out (a comment, a program number) is misspelt."""
        if not block.text:
            return False
        line = Line(block, self._lookup, {})
        self._spell(line)
        return bool(line.remarks)

    def _tool(self, line: Line) -> ToolCall | None:
        number = None if "macro" in line.kinds else line.take("T")
        if number is None:
            return None
        whole = round(abs(number))
        if number < 0 or not is_whole(number):
            line.remark("tool-unknown", "a T word is a whole number without a sign", line.word("T"))
        station = whole // self.dialect.tool_divisor
        tool = self.dialect.tools.get(station)
        if tool is None:
            line.remark("tool-unknown", f"station {station} is not in the channel's tool list", line.word("T"))
        self.state.station = station
        return ToolCall(whole, station, tool)

    def _modes(self, line: Line) -> None:
        """Puts the modal codes into force."""
        for word, function in line.functions:
            kind = function.kind
            if kind == "motion":
                self._motion_mode(function)
            elif kind in _MODAL:
                if kind == "unit" and function.state != self.dialect.unit:
                    line.remark("unit", f"the machine works in {self.dialect.unit}", word)
                self._mode(function)

    def _motion_mode(self, function: Function) -> None:
        state = self.state
        if function.state in _DRILLING or function.state in _SINGLE:
            return
        state.cycle = None
        if function.state != "cancel":
            state.modes["motion"] = function

    def _mode(self, function: Function) -> None:
        """A mode other than the motion; a new feed mode forgets the feed, a new offset where Z stands in it."""
        state = self.state
        if state.modes.get(function.kind) == function:
            return
        state.modes[function.kind] = function
        if function.kind == "feed-mode":
            state.feed = None
        elif function.kind == "offset" and "z" not in state.homed:
            state.position = state.position._replace(z=None)

    def _functions(self, line: Line) -> _Functions:
        before: list[Function] = []
        late: list[Function] = []
        for _, function in line.functions:
            kind = function.kind
            if kind == "motion" or kind in _MODAL or kind in _FLOW or kind in _ONE_SHOT:
                continue
            (late if function in self.dialect.after_motion else before).append(function)
        return _Functions(tuple(before), tuple(late))

    def _feed_and_speed(self, line: Line, functions: _Functions) -> None:
        state = self.state
        if "macro" in line.kinds:
            return
        feed = line.take("F")
        inverse = state.mode("feed-mode") == "inverse"
        if feed is not None:
            state.feed = feed * (1.0 if inverse else scale(state, self.dialect)) if feed > 0 else None
            if state.feed:
                state.said.discard("no-feed")
        elif inverse:
            state.feed = None
        self._speed(line, functions)
        if line.kinds.get("speed-mode") and state.speed.surface and state.speed.clamp_rpm is None:
            line.remark("css-no-clamp", "constant surface speed without a speed clamp: towards the centre it runs away")

    def _speed(self, line: Line, functions: _Functions) -> None:
        """S, the drive it is for, and whether a drive starts without any."""
        state = self.state
        value = line.take("S") if line.values.get("S", 0.0) >= 0 else None
        speed = state.speed._replace(surface=state.mode("speed-mode") == "surface")
        starts = [f for f in functions.before if f.kind == "spindle" and f.state != "stop"]
        if value is not None and "speed-clamp" in line.kinds:
            speed = speed._replace(clamp_rpm=value)
        elif value is not None:
            speed = speed._replace(value=value)
        if starts:
            speed = speed._replace(drive=starts[-1].which)
            if speed.value is None and "no-speed" not in state.said:
                state.said.add("no-speed")
                line.remark("no-speed", "a spindle starts and no S has said how fast")
        if speed != state.speed:
            state.speed = Speed(*speed)

    def _dwell(self, line: Line) -> float:
        if "dwell" not in line.kinds:
            return 0.0
        times = ((letter, unit) for letter, unit in self.dialect.dwell.items() if line.values.get(letter, -1.0) >= 0)
        return max(((line.take(letter) or 0.0) * unit for letter, unit in times), default=0.0)

    def _moves_nothing(self, line: Line) -> bool:
        """Whether the block's axis words are no motion; those of a dwell are its time where it takes any."""
        if "dwell" in line.kinds and not self.dialect.dwell.keys().isdisjoint(self.dialect.axes):
            return True
        return not line.kinds.keys().isdisjoint({"data", "speed-clamp", "origin", "macro"})

    def _axes(self, line: Line) -> frozenset[str]:
        """Names of the axes that the block moves by word."""
        axes = self.dialect.axes
        if "home" in line.kinds:
            line.blank = [u.text.upper() for u in line.block.parts.unknown if u.text.upper() in axes]
        if self._moves_nothing(line):
            return frozenset()
        letters = [n for n in (*line.values, *line.blank, *line.undecided) if n in axes]
        names = frozenset(axes[n].name for n in letters)
        for name in sorted(names - self.dialect.own_axes):
            line.remark("not-understood", f"the channel has no axis {name.upper()}")
        return names

    def _motions(self, line: Line) -> tuple[Motion, ...]:
        """The block's motions; the position is then the last one's end."""
        dialect, state, kinds = self.dialect, self.state, line.kinds
        if self._moves_nothing(line):
            self._set_aside(line)
            return ()
        worded = any(n in dialect.axes for n in (*line.values, *line.undecided))
        if any(w.letter == "G" for w in line.strange) and worded:
            lose_position(line, state, dialect)
            return ()
        if "home" in kinds:
            return home(line, state, dialect)
        if "machine" in kinds:
            return machine(line, state, dialect) if worded else ()
        if "cycle" in kinds:
            return self._turning(kinds["cycle"].state, line)
        called = kinds["motion"].state if "motion" in kinds else ""
        if called in _DRILLING or called in _SINGLE or (state.cycle and worded):
            return self._active_cycle(called, line)
        return self._plain_motion(line, worded=worded)

    def _active_cycle(self, called: str, line: Line) -> tuple[Motion, ...]:
        kind = called if called in _DRILLING or called in _SINGLE else ""
        of = kind or (self.state.cycle.kind if self.state.cycle else "")
        if of in _DRILLING:
            return drill(kind, line, self.state, self.dialect)
        return single(kind, line, self.state, self.dialect)

    def _plain_motion(self, line: Line, *, worded: bool) -> tuple[Motion, ...]:
        """A motion of the modal kind."""
        mode = self.state.mode("motion") or "rapid"
        turns = mode in {"arc-cw", "arc-ccw"}
        if not worded and not (turns and not line.values.keys().isdisjoint("IJK")):
            return ()
        if turns:
            return arc(line, self.state, self.dialect, clockwise=mode == "arc-cw")
        if mode == "thread":
            line.take("Q")
            line.take("R")
        return straight(mode if mode in _STRAIGHT else "rapid", line, self.state, self.dialect)

    def _set_aside(self, line: Line) -> None:
        """Axis words that are no motion: taken note of, or the new name of where the channel stands."""
        if "origin" in line.kinds:
            rename(line, self.state, self.dialect)
        elif "macro" not in line.kinds and "dwell" not in line.kinds:
            for letter in line.values:
                line.take(letter)
            if "speed-clamp" in line.kinds and any(letter in self.dialect.axes for letter in line.values):
                line.remark("not-understood", "axis words here set the frame; positions are taken to stay as they were")

    def _turning(self, kind: str, line: Line) -> tuple[Motion, ...]:
        """A cycle of turning programs."""
        state, dialect = self.state, self.dialect
        if kind == "groove":
            return groove(line, state, dialect)
        if kind == "thread":
            return thread(line, state, dialect)
        contour = self._contour(line)
        if kind == "finish":
            return follow(contour, line, state)
        return rough(kind, line, contour, state, dialect)

    def _contour(self, line: Line) -> Contour | None:
        """The contour that P and Q name, and the flow behind it; None where there is none."""
        first, last = line.take("P"), line.take("Q")
        if first is None or last is None:
            return None
        frame = self.flow.stack[-1]
        section = frame.section
        begin = section.label(round(first), frame.at - 1)
        end = section.label(round(last), (begin or 0) - 1)
        if begin is None or end is None or end < begin:
            line.remark("jump", "the blocks that P and Q name are not there")
            return None
        if begin >= frame.at:
            self.flow.skip_to(end + 1)
        return self._traced([section.file[i] for i in range(begin, end + 1)], line)

    def _traced(self, blocks: list[Block], line: Line) -> Contour:
        """The motions of the contour's blocks, carried out on a copy of the state."""
        self.flow.blocks += len(blocks)
        inner = Interpreter(self.dialect, self.state.copy(), self.flow, self.pass_number)
        inner.state.cycle = None
        inner._spelling = self._spelling
        motions: list[Motion] = []
        for block in blocks:
            below = Line(block, self._lookup, inner.state.variables)
            inner._spell(below)
            if not _is_contour(below):
                below.remark("not-understood", "a contour holds moves, modes, feeds and speeds only")
            else:
                inner._modes(below)
                inner._feed_and_speed(below, inner._functions(below))
                motions += inner._motions(below)
                inner._note_strange(below)
            line.remarks.extend(r for r in below.remarks if r.code != "css-no-clamp")
        return Contour(chords_of(motions, self.dialect), tuple(motions))

    def _check_feed(self, line: Line, motions: tuple[Motion, ...]) -> None:
        """Says once that a feed move has no feed, until one comes."""
        if "no-feed" in self.state.said or not any(m.cuts and m.feed is None for m in motions):
            return
        self.state.said.add("no-feed")
        line.remark("no-feed", "a feed move, and no F is in force")

    def _wait(self, line: Line) -> Wait | None:
        """The wait mark, with the channels it names."""
        if not line.waits:
            return None
        wait = line.waits[0][1]
        form = self.dialect.wait
        if form is None or not form.channels_letter:
            return wait
        named = line.take(form.channels_letter)
        if named is None:
            return wait
        return wait._replace(channels=frozenset(form.channels.get(d, d) for d in str(round(abs(named)))))

    def _note_strange(self, line: Line) -> None:
        """Says what nothing here has understood."""
        for word in line.strange:
            line.remark("not-understood", f"{word.letter}{word.text} has no meaning here", word)
        for piece in line.block.parts.unknown:
            if piece.text.upper() not in line.blank:
                line.remark("not-understood", f"`{piece.text}` is no word", piece)
        for letter in line.values:
            if letter not in line.used:
                line.remark("not-understood", f"{letter} has no use in this block", line.word(letter))
