"""What the cuts of each operation ask of the drive that does them, in words for a chart."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.cutting.follow import follow
from gemel.reports.sizes import plain, tenth

if TYPE_CHECKING:
    from gemel.cutting.cut import Cut
    from gemel.cutting.facts import CuttingFacts
    from gemel.reports.reread import Reread
    from gemel.timing import Timeline

__all__ = ["powers_of"]


def powers_of(pair: Reread, cutting: CuttingFacts, timeline: Timeline) -> dict[tuple[str, int], str]:
    """Power and torque of every operation at the block where its drive has least to spare.

    Args:
        pair: the programs.
        cutting: material and tools.
        timeline: of the same programs, which says what an operation is.

    Returns:
        By channel and first line of the operation; nothing for one whose cuts could not be measured.
    """
    followed = follow({model.name: model.steps for model in pair.models}, cutting, pair.machine)
    by_line: dict[tuple[str, int], Cut] = {}
    for cut in followed.cuts:
        key = cut.channel, cut.line
        if key not in by_line or cut.share > by_line[key].share:
            by_line[key] = cut
    found = {}
    for bar in timeline.bars:
        cuts = [by_line[bar.channel, block.line] for block in bar.blocks if (bar.channel, block.line) in by_line]
        if cuts:
            found[bar.channel, bar.first_line] = _said(max(cuts, key=lambda cut: cut.share))
    return found


def _said(cut: Cut) -> str:
    load = cut.load
    return f"{tenth(load.power_kw)} kW, {tenth(load.torque_nm)} N m, {plain(100 * cut.share, 0)} % of the drive"
