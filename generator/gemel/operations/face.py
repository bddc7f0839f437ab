"""Facing: from outside past the centre, in passes along Z; for the front face and for the second side.

The nose passes the centre by its radius, so that no pip stays: X ends at -2 r for a solid bar (common practice).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.families.features import Bar, FeatureFace
from gemel.families.handover import BackFace, CutOff
from gemel.families.processes import Face
from gemel.numbers import Number, rule
from gemel.operations.common import Turning, begin_turning, clear_mm, cuts, end_turning, need, outside_mm
from gemel.operations.steps import Feed, Rapid, Step

if TYPE_CHECKING:
    from gemel.families.part import Job

__all__ = ["back_face", "face"]

_FACE = rule(0.0, "finished face", "definition of the offset")
_NO_NOSE = rule(0.2, "nose radius where the catalogue gives none", "common practice, no source")


def face(job: Job) -> list[Step]:
    """Steps that face the front."""
    bar = job.part.feature_of(Bar)
    given = job.operation_as(Face).allowance_mm
    return _facing(job, given if given is not None else (bar.allowance_mm if bar else _FACE))


def back_face(job: Job) -> list[Step]:
    """Steps that face the second side."""
    given = job.operation_as(BackFace).allowance_mm
    left = [operation.allowance_mm for operation in job.part.operations.values() if isinstance(operation, CutOff)]
    return _facing(job, given if given is not None else sum(left, _FACE + 0.0))


def _facing(job: Job, allowance_mm: float) -> list[Step]:
    feed = need(job, job.cutting.feed_mm_rev, "a feed")
    depth = need(job, job.cutting.depth_mm, "a depth of pass")
    count = cuts(job, allowance_mm, depth)
    start = outside_mm(job, job.part.stock.round_mm)
    end = _end_mm(job)
    steps: list[Step] = [*begin_turning(job, Turning()), Rapid(z=allowance_mm + clear_mm(job)), Rapid(x=start)]
    for number in range(1, count + 1):
        level = allowance_mm * (1.0 - number / count) + _FACE
        steps += [Rapid(z=level), Feed(x=end, feed=feed), Rapid(z=level + clear_mm(job)), Rapid(x=start)]
    return [*steps, *end_turning(job)]


def _end_mm(job: Job) -> Number:
    nose = job.tool.nose_radius_mm if job.tool.nose_radius_mm is not None else _NO_NOSE
    inner = job.feature.inner_dia_mm if isinstance(job.feature, FeatureFace) else _FACE
    return _FACE + inner - 2.0 * nose
