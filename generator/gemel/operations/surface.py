"""Whether a turned surface can be as smooth as the drawing asks: the marks that the feed leaves under a round corner.

The marks are what is left at best: chatter, wear and built-up edges come on top.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.cutting.formulas import feed_for_roughness_mm_rev, mean_roughness_um, roughness_um
from gemel.documents import label_of, place_of
from gemel.families.handover import BackFace
from gemel.families.processes import BoreOut, Face, FinishTurn
from gemel.families.roughness import Roughness
from gemel.findings import Explanation, Label, Severity, Span
from gemel.numbers import Source, leaves, sqrt

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.families.part import Job
    from gemel.findings import Finding

__all__ = ["ROUGH", "Surface", "rough_surfaces", "surface_of"]

ROUGH = Explanation(
    "operation",
    "rough",
    Severity.WARNING,
    "The marks of the feed alone are higher than the roughness that the drawing allows.",
    "The surface cannot be smoother than its marks: parts are rejected that a smaller feed would have saved.",
    "ring: {kind: turned, roughness: {rz: 4}, ...}   # turned with feed 0.2 and a corner of 0.4",
    "take a smaller feed or a larger corner",
)

_FINISHING = (Face, BackFace, FinishTurn, BoreOut)


class Surface(NamedTuple):
    """The roughness of one operation's surface, in micrometres.

    Attributes:
        rz_um: height of the marks, f^2 / (8 r). ra_um: their mean.
        asked_rz_um, asked_ra_um: what the drawing allows, None where it says nothing.
        feed_mm_rev: the largest feed that would do, None where nothing is asked.
    """

    rz_um: float
    ra_um: float
    asked_rz_um: float | None
    asked_ra_um: float | None
    feed_mm_rev: float | None

    @property
    def is_rough(self) -> bool:
        """Whether the marks are higher than what is allowed."""
        too_high = self.asked_rz_um is not None and self.rz_um > self.asked_rz_um
        return too_high or (self.asked_ra_um is not None and self.ra_um > self.asked_ra_um)


def surface_of(job: Job) -> Surface | None:
    """The surface that an operation leaves; None where it leaves no finished turned surface, or a datum is missing."""
    feed, nose = job.cutting.feed_mm_rev, job.tool.nose_radius_mm
    if not isinstance(job.operation, _FINISHING) or not feed or not nose:
        return None
    asked = getattr(job.feature, "roughness", None) or Roughness()
    limits = []
    if asked.rz_um is not None:
        limits.append(float(feed_for_roughness_mm_rev(asked.rz_um, nose)))
    if asked.ra_um is not None:
        # Ra grows with the square of the feed as Rz does.
        limits.append(float(feed * sqrt(asked.ra_um / mean_roughness_um(feed, nose))))
    return Surface(
        float(roughness_um(feed, nose)),
        float(mean_roughness_um(feed, nose)),
        _known(asked.rz_um),
        _known(asked.ra_um),
        min(limits) if limits else None,
    )


def rough_surfaces(jobs: Iterable[Job]) -> Iterator[Finding]:
    """A warning for every operation whose feed leaves more than the drawing allows."""
    for job in jobs:
        surface = surface_of(job)
        if surface is None or not surface.is_rough:
            continue
        asked = [
            f"{name} {limit:g}"
            for name, limit in (("Rz", surface.asked_rz_um), ("Ra", surface.asked_ra_um))
            if limit is not None
        ]
        feed = float(job.cutting.feed_mm_rev or 0.0)
        cause = (
            f"{job.id}: feed {feed:g} with {job.tool_id} leaves Rz {surface.rz_um:.1f}, "
            f"Ra {surface.ra_um:.1f}; the drawing allows {', '.join(asked)}"
        )
        remedy = f"take a feed of at most {surface.feed_mm_rev:.3f} mm, or a larger corner"
        yield ROUGH.found(cause, *_labels(job), remedy=remedy)


def _known(limit: float | None) -> float | None:
    return None if limit is None else float(limit)


def _labels(job: Job) -> list[Label]:
    """Where the feed is said, and where the operation is."""
    feed = job.cutting.feed_mm_rev
    found = (
        [label_of(leaf, "this feed") for leaf in leaves(feed) if isinstance(leaf, Source) and leaf.line] if feed else []
    )
    place = place_of(job.operation.feature)
    own = label_of(place, "this operation") if place else Label(Span(job.part.family))
    return [*found[:1], own]
