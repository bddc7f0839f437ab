"""Pairs: stage table and toolpaths to what each channel runs between which wait marks.

Takes `Part`, `Machine` and the steps of each operation; gives `PairPlan`, or raises `Findings`.
May import operations, families, machines, documents, findings, numbers. Never assumes two channels.
"""

from gemel.pairs.pairing import pair
from gemel.pairs.plan import ChannelPlan, Mark, PairPlan, PlannedOperation, PlannedStage, Size, TitlePart

__all__ = ["ChannelPlan", "Mark", "PairPlan", "PlannedOperation", "PlannedStage", "Size", "TitlePart", "pair"]
