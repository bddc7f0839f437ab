"""Proofs of programs that are written in the test: the demo machine, with as many channels as the test needs."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from gemel.documents import compose, validate
from gemel.machines.dialect import dialect_of
from gemel.machines.schema import Machine
from gemel.proving import prove
from gemel.proving.explore import explore
from gemel.proving.facts import facts_of
from gemel.proving.model import build
from gemel.reading.blocks import read
from gemel.reading.channel import ChannelText

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.cutting.facts import CuttingFacts
    from gemel.proving import Verdict
    from gemel.proving.explore import Exploration
    from gemel.proving.model import ChannelModel

__all__ = ["codes", "demo_machine", "explored", "lines_of", "models_of", "proof", "three_channel_machine"]

_FILE = Path(__file__).parents[2] / "templates" / "twin-turnmill" / "machine.yaml"


@cache
def demo_machine() -> Machine:
    """The demo machine."""
    return validate(Machine, compose(_FILE.read_text(), "machine.yaml"))


@cache
def three_channel_machine() -> Machine:
    """The demo machine with a second turret `rear`, whose waits name the channels they are for."""
    demo = demo_machine()
    rear = demo.channels["lower"].model_copy(update={"number": 3, "suffix": ".rear.nc"})
    waits = demo.waits.model_copy(update={"write": "M{number} P{channels}"})
    return demo.model_copy(update={"channels": {**demo.channels, "rear": rear}, "waits": waits})


def _programs(texts: Mapping[str, str]) -> dict[str, tuple[str, bytes]]:
    return {channel: (f"{channel}.nc", text.encode()) for channel, text in texts.items()}


def proof(machine: Machine | None = None, cutting: CuttingFacts | None = None, /, **texts: str) -> Verdict:
    """The verdict on programs given by channel; the demo machine unless another is given."""
    return prove(_programs(texts), machine or demo_machine(), (), cutting)


def codes(verdict: Verdict) -> set[str]:
    """`rule:code` of every finding."""
    return {f.name for f in verdict.findings}


def lines_of(verdict: Verdict, name: str) -> set[tuple[tuple[str, int], ...]]:
    """Channel and line of every place of each finding of a code."""
    return {tuple((label.channel, label.span.line) for label in f.labels) for f in verdict.findings if f.name == name}


def models_of(machine: Machine, texts: Mapping[str, str]) -> list[ChannelModel]:
    """The reduced model of programs."""
    read_texts = {
        channel: ChannelText(dialect_of(machine, channel), (read(data, name),))
        for channel, (name, data) in _programs(texts).items()
    }
    return build(read_texts, facts_of(machine))


def explored(machine: Machine, models: list[ChannelModel]) -> Exploration:
    """All interleavings of a reduced model."""
    return explore(models, facts_of(machine))
