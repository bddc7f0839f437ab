"""Findings in words: what was seen, remarked or cut short, with the blocks concerned, the cause and the trace."""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import replace
from typing import TYPE_CHECKING

from gemel.findings import Label
from gemel.proving.explore import MOST_STATES
from gemel.proving.model import MOST_PASSES
from gemel.proving.rules import words
from gemel.proving.sightings import MOST_SIGHTINGS
from gemel.proving.trace import Tracer
from gemel.proving.verdict import Fault

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from gemel.findings import Finding, Span
    from gemel.proving.explore import Exploration
    from gemel.proving.model import ChannelModel, Pass
    from gemel.proving.rule import Place
    from gemel.proving.sightings import Sighting
    from gemel.reading.blocks import Program

__all__ = ["faults_of"]

_SPOKEN = 6
"""So many blocks are named in a sentence; `where` has them all."""


def faults_of(exploration: Exploration, files: Mapping[str, Program], *, skipped: bool) -> list[Fault]:
    """Every fault of one search.

    Args:
        exploration: a search that has ended.
        files: the texts, by the names that their blocks carry.
        skipped: whether `/` blocks were skipped.
    """
    wording = _Wording(exploration, files, skipped=skipped)
    return [*wording.seen(), *wording.remarked(), *wording.bounds()]


class _Wording:
    """Words the findings of one search."""

    def __init__(self, exploration: Exploration, files: Mapping[str, Program], *, skipped: bool) -> None:
        self.exploration = exploration
        self.models = exploration.models
        self.files = files
        self.skipped = skipped
        self.tracer = Tracer(exploration)
        self.waits = [[n.step for n in m.nodes if n.kind == "wait"] for m in self.models]

    def seen(self) -> Iterator[Fault]:
        """What the rules have seen."""
        for sighting in self.exploration.sightings.all():
            trace = self.tracer.trace_of(sighting)
            yield replace(self._seen(sighting), trace=trace, when=self._when(sighting))

    def _seen(self, sighting: Sighting) -> Fault:
        # A block of two passes is one place.
        found = (self._label(place) for place in sighting.places)
        labels = tuple({(label.channel, label.span): label for label in found}.values())
        spoken = [_spoken(label) for label in labels]
        detail = sighting.words
        if sighting.detail is not None:
            detail = f" (the visit that begins at {_spoken(self._label(sighting.detail))})"
        listed = ", ".join(spoken[:_SPOKEN]) + (f" and {len(spoken) - _SPOKEN:,} more" if len(spoken) > _SPOKEN else "")
        cause = sighting.rule.cause.format(a=spoken[0], b=spoken[-1], all=listed, detail=detail)
        return self._worded(sighting.rule.found(cause, *labels))

    def _when(self, sighting: Sighting) -> tuple[int, int]:
        """The pass in which it shows first, and how many waits of the channel come before it in that pass.

        What an interleaving shows, shows with the last of its blocks; what the text alone shows, with the first.
        """
        found: list[tuple[int, int]] = []
        for channel, step in sighting.places:
            model = self.models[channel]
            if 0 <= step < len(model.steps):
                number = model.steps[step].pass_number
                waits = self.waits[channel]
                found.append((number, bisect_left(waits, step) - bisect_left(waits, model.passes[number - 1].first)))
        pick = max if sighting.state is not None else min
        return pick(found, default=(1, 0))

    def _label(self, place: Place) -> Label:
        return _label(self.models[place.channel], place.step)

    def _worded(self, found: Finding) -> Fault:
        return Fault(
            found.rule, found.code, found.severity, found.cause, found.labels, found.remedy, skipped=self.skipped
        )

    def remarked(self) -> list[Fault]:
        """What reading remarked: one fault per code and block."""
        found: dict[object, Fault] = {}
        for model in self.models:
            for remark in model.remarks:
                label = Label(remark.span, self._text(remark.span), channel=model.name)
                fault = self._worded(words.explanation_of(remark.code).found(remark.cause, label))
                found.setdefault(fault.identity, fault)
            without_end = next((p for p in model.passes if p.ending == "text"), None)
            if without_end is not None:
                entry = words.explanation_of("no-end")
                label = _label_of_end(model, without_end)
                fault = self._worded(entry.found("the program ends with its text, without an end code", label))
                found.setdefault(fault.identity, fault)
        return list(found.values())

    def _text(self, span: Span) -> str:
        """The whole block that a remark is about."""
        return self.files[span.source][span.line - 1].text

    def bounds(self) -> list[Fault]:
        """What was cut short, once all that was seen is in words."""
        entry = words.explanation_of("bounded")
        whole = Label(self.models[0].file_span, channel=self.models[0].name)
        said: list[tuple[Label, str]] = []
        for model in self.models:
            if model.bounded:
                cause = f"the passes of {model.name} still differ; {MOST_PASSES} of them were looked at"
                said.append((_label_of_end(model), cause))
            if any(p.ending in {"bound", "endless"} for p in model.passes):
                said.append((_label_of_end(model), f"the run of {model.name} does not end and was cut short"))
        if self.exploration.sightings.is_full:
            said.append((whole, f"more than {MOST_SIGHTINGS:,} faults; those behind were not noted"))
        elif self.tracer.left_out:
            said.append((whole, f"the traces of {self.tracer.left_out:,} faults would be too long together"))
        found = [self._worded(entry.found(cause, label)) for label, cause in said]
        if not self.exploration.complete:
            cause = f"there are more than {MOST_STATES:,} states between two waits; the search stopped there"
            found.append(self._worded(words.explanation_of("not-finished").found(cause, *self._stopped())))
        return found

    def _stopped(self) -> list[Label]:
        """The blocks at which the search stopped."""
        here = self.exploration.here(next(reversed(self.exploration.moves)))
        return [_label(model, stretch.node.step) for model, stretch in zip(self.models, here, strict=True)]


def _label(model: ChannelModel, step: int) -> Label:
    """The label of a block; a channel without a single block is named by its file alone."""
    if not 0 <= step < len(model.steps):
        return Label(model.file_span, channel=model.name)
    block = model.steps[step].block
    return Label(block.span(), block.text, channel=model.name)


def _label_of_end(model: ChannelModel, of: Pass | None = None) -> Label:
    """The last block of a pass, the first one by default."""
    of = of or model.passes[0]
    return _label(model, of.end - 1 if of.end > of.first else -1)


def _spoken(label: Label) -> str:
    """A block in a sentence: channel, line, text."""
    return f"{label.channel} line {label.span.line} `{label.text.strip()}`"
