"""Runs one template environment over one program: the dispatch from steps to macros, traced or plain."""

from __future__ import annotations

from typing import TYPE_CHECKING

from jinja2.runtime import Macro

from gemel.findings import Findings, Label, Span
from gemel.writing.codes import NO_MACRO, UNFINISHED
from gemel.writing.comments import Comments
from gemel.writing.marks import VALUE_MARKS, Address, Trace, lead, strip
from gemel.writing.recall import Recalled, is_told, recipe_of, retraced
from gemel.writing.situation import Now
from gemel.writing.views import OperationView, StageView, record_of
from gemel.writing.words import Words

if TYPE_CHECKING:
    from gemel.machines.schema import Machine
    from gemel.operations.steps import Step
    from gemel.writing.blocks import Blocks
    from gemel.writing.environment import TemplateEnvironment
    from gemel.writing.marks import Plain
    from gemel.writing.views import ProgramView

__all__ = ["PROGRAM", "STEPS", "Scribe"]

PROGRAM = "program.nc.j2"
STEPS = "steps.nc.j2"
_OUTSIDE = Address(0, "", -1, "")


class Scribe:
    """Writes programs with one environment and one tracer; `trace` is that tracer."""

    def __init__(
        self, environment: TemplateEnvironment, machine: Machine, tracer: Trace | Plain, blocks: Blocks
    ) -> None:
        self.trace = tracer
        self._blocks = blocks
        self._environment = environment
        self._now = Now()
        words = Words(machine, tracer, self._now)
        comments = Comments(machine, words, tracer)
        self._comment_start = str(machine.lines.comment.start)
        environment.globals.update(
            codes=record_of(machine.codes),
            machine=record_of(machine),
            now=self._now,
            axes=words.axes,
            lengths=words.lengths,
            angles=words.angles,
            feeds=words.feeds,
            speeds=words.speeds,
            surface_speeds=words.surface_speeds,
            seconds=words.seconds,
            milliseconds=words.milliseconds,
            pecks=words.pecks,
            code=words.code,
            comment=comments.comment,
            comments=comments.comments,
            write=self.write,
            say=self.say,
        )
        self._program = environment.get_template(PROGRAM)
        self._macros: dict[str, Macro] = {
            name: value
            for name, value in vars(environment.get_template(STEPS).module).items()
            if isinstance(value, Macro)
        }

    def program(self, view: ProgramView) -> str:
        """The text of one program, with marks where the tracer makes them."""
        if isinstance(self.trace, Trace):
            self.trace.reset()
        self._now.channel = view.channel
        self._now.begin()
        return self._program.render(program=view)

    def write(self, item: StageView | OperationView) -> str:
        """The blocks of a stage's wait mark, or of an operation with all its steps."""
        if isinstance(item, StageView):
            address = Address(item.number, "", -1, item.kind)
            text = self.trace.address(address) + self._said(item.kind, item)
        else:
            address = Address(item.stage, item.id, -1, item.kind)
            text = self._operation(item)
        return self._numbered(text, item.sequence, address) + self.trace.address(_OUTSIDE)

    def say(self, kind: str) -> str:
        """The blocks of a macro that asks for nothing: `say("home")`."""
        return self._said(kind, None)

    def _operation(self, operation: OperationView) -> str:
        now, said = self._now, self._said
        now.begin()
        if isinstance(self.trace, Trace):
            return self._traced(operation, self.trace)
        pieces = [said(operation.kind, operation)]
        for step, block in zip(operation.steps, self._blocks.of(operation, self._channel()), strict=True):
            text = block.text
            if text is None:
                now.face(step, block.situation)
                text = block.text = said(step.kind, step)
            pieces.append(text)
        return "".join(pieces)

    def _channel(self) -> str:
        channel = self._now.channel
        return channel.name if channel else ""

    def _traced(self, operation: OperationView, trace: Trace) -> str:
        """The same, the text of each step behind its address."""
        stage, name = operation.stage, operation.id
        now, said = self._now, self._said
        values, sites = trace.values, trace.sites
        pieces = [trace.address(Address(stage, name, -1, operation.kind)), said(operation.kind, operation)]
        blocks = self._blocks.of(operation, self._channel())
        for index, (step, block) in enumerate(zip(operation.steps, blocks, strict=True)):
            recipe = block.recipe
            pieces.append(VALUE_MARKS[len(sites)])
            if recipe is not None and recipe.line and is_told(recipe, step):
                pieces.append(recipe.line)
                values.append(Recalled(stage, name, index, step, recipe))
                sites.append(0)
                continue
            values.append(Address(stage, name, index, step.kind))
            sites.append(-1)
            if recipe is None:
                now.face(step, block.situation)
                text = said(step.kind, step)
                block.recipe = recipe_of(step, text, trace)
            else:
                text = retraced(recipe, step, trace)
            pieces.append(text)
        return "".join(pieces)

    def _said(self, kind: str, item: StageView | OperationView | Step | None) -> str:
        """The text of the macro of this kind; it is whole lines."""
        macro = self._macros.get(kind)
        if macro is None:
            label = Label(Span(f"{self._environment.folder}/{STEPS}"))
            raise Findings([NO_MACRO.found(f"there is no macro `{kind}`", label)])
        text: str = macro(item)
        if text and text[-1] != "\n":
            label = Label(Span(f"{self._environment.folder}/{STEPS}"), strip(text).rpartition("\n")[2])
            raise Findings([UNFINISHED.found(f"the text of macro `{kind}` does not end with a line end", label)])
        return text

    def _numbered(self, text: str, sequence: str, address: Address) -> str:
        """The blocks with the sequence number before the first of them that is no comment."""
        if not sequence:
            return text
        start = 0
        while (end := text.find("\n", start)) >= 0:
            begin = lead(text, start)
            if begin < end and not text.startswith(self._comment_start, begin):
                number = self.trace.address(address) + self.trace.piece(f"{sequence} ", sequence)
                return text[:start] + number + text[start:]
            start = end + 1
        return text
