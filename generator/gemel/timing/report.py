"""A timeline as one JSON object; seconds to three decimals."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from gemel.findings import Span
    from gemel.timing.model import Arrival, Bar, Lane, Timeline

__all__ = ["as_json", "as_object"]


def as_object(timeline: Timeline) -> dict[str, Any]:
    """The timeline as plain values."""
    return {
        "machine": timeline.machine,
        "override": timeline.override,
        "period_s": _seconds(timeline.period_s),
        "cycle_s": _seconds(timeline.cycle_s),
        "repeats": timeline.repeats,
        "exact": timeline.is_exact,
        "channels": [_lane(lane) for lane in timeline.lanes],
        "waits": [
            {"number": m.number, "last": list(m.last), "lost_s": _seconds(m.lost_s), "arrivals": _arrivals(m.arrivals)}
            for m in timeline.meetings
        ],
        "spindles": [
            {
                "name": s.name,
                "kind": "drive" if s.is_tool_drive else "spindle",
                "spans": [
                    {
                        "state": span.state,
                        "start_s": _seconds(span.start_s),
                        "end_s": _seconds(span.end_s),
                        "rpm": _range((span.rpm_low, span.rpm_high)),
                    }
                    for span in s.spans
                ],
            }
            for s in timeline.spindles
        ],
        "loads": [
            {
                "name": load.name,
                "kind": load.kind,
                "busy_s": _seconds(load.busy_s),
                "cutting_s": _seconds(load.cutting_s),
                "lost_s": _seconds(load.lost_s),
                "share": round(load.share, 4),
                "cutting_share": round(load.cutting_share, 4),
            }
            for load in timeline.loads
        ],
        "critical": [
            {
                "channel": p.channel,
                "name": p.name,
                "start_s": _seconds(p.start_s),
                "seconds": _seconds(p.seconds),
                "mark": p.mark,
            }
            for p in timeline.critical
        ],
        "unknown": [{**_where(u.channel, u.span, u.block), "reason": u.reason} for u in timeline.unknown],
        "stuck": [{**_where(s.channel, s.span, s.block), "number": s.number} for s in timeline.stuck],
    }


def as_json(timeline: Timeline) -> str:
    """The same as text, one object."""
    return json.dumps(as_object(timeline), indent=2, ensure_ascii=False)


def _lane(lane: Lane) -> dict[str, Any]:
    return {
        "channel": lane.channel,
        "start_s": _seconds(lane.start_s),
        "end_s": _seconds(lane.end_s),
        "ending": lane.ending,
        "operations": [_bar(bar) for bar in lane.bars],
    }


def _bar(bar: Bar) -> dict[str, Any]:
    return {
        "name": bar.name,
        "sequence": bar.sequence,
        "stage": bar.stage,
        "mark": bar.mark,
        "file": bar.file,
        "lines": [bar.first_line, bar.last_line],
        "station": bar.station,
        "tool": bar.tool,
        "spindle": bar.spindle,
        "drive": bar.drive,
        "rpm": _range(bar.rpm),
        "feed": list(bar.feed),
        "feed_mode": bar.feed_mode,
        "start_s": _seconds(bar.start_s),
        "end_s": _seconds(bar.end_s),
        "seconds": _seconds(bar.seconds),
        "spent": {name: _seconds(value) for name, value in bar.spent._asdict().items()},
        "critical_s": _seconds(bar.critical_s),
        "gain_s": _seconds(bar.gain_s),
        "unknown": bar.is_unknown,
    }


def _arrivals(arrivals: tuple[Arrival, ...]) -> list[dict[str, Any]]:
    return [
        {
            "channel": a.channel,
            "line": a.block.line,
            "arrive_s": _seconds(a.arrive_s),
            "lost_s": _seconds(a.lost_s),
            "depart_s": _seconds(a.depart_s),
        }
        for a in arrivals
    ]


def _where(channel: str, span: Span, block: str) -> dict[str, Any]:
    return {"channel": channel, "file": span.source, "line": span.line, "block": block.strip()}


def _seconds(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _range(rpm: tuple[float, float]) -> list[float]:
    return [round(value, 1) for value in rpm]
