"""Single-point threads, external and internal: passes of equal area and spring passes at full depth.

Fixed speed, the same start for every pass, a run-in of three pitches (common practice, no source).
Depths d sqrt(i / N) take equal areas off a V groove (`families/infeed.py`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from gemel.families.features import ThreadFeature
from gemel.families.infeed import infeed
from gemel.families.processes import ExternalThread, InternalThread
from gemel.families.threads import thread
from gemel.numbers import Number, ceil, maximum, rule
from gemel.operations import codes
from gemel.operations.common import (
    Turning,
    begin_turning,
    check_amount,
    clear_mm,
    end_turning,
    fault,
    fixed_speed_rpm,
)
from gemel.operations.steps import Rapid, Step, ThreadPass

if TYPE_CHECKING:
    from gemel.families.part import Job
    from gemel.families.threads import Thread

__all__ = ["external_thread", "internal_thread"]

_RUN_IN = rule(3.0, "run-in in pitches", "common practice, no source")
_PER_PITCH = rule(4.0, "passes per millimetre of pitch", "common practice, no source")
_FIRST = rule(3.0, "fewest passes", "common practice, no source")
_MOST = 1e9  # whatever lies above is refused all the same
_FACE = rule(0.0, "finished face", "definition of the offset")


class _Cut(NamedTuple):
    """The diameters of one cut: where it starts, which way it goes, how deep."""

    start_dia_mm: Number
    depth_mm: Number
    inwards: bool


def external_thread(job: Job) -> list[Step]:
    """Steps of an external thread, from d to d - 2 h3 (ISO 68-1: h3 = 0.6134 P)."""
    feature = job.feature_as(ThreadFeature)
    form = thread(feature.thread)
    return _thread(
        job, job.operation_as(ExternalThread), form, _Cut(form.major_mm, form.depth_external_mm, inwards=True)
    )


def internal_thread(job: Job) -> list[Step]:
    """Steps of an internal thread, from D1 to D (ISO 68-1: H1 = 0.5413 P)."""
    feature = job.feature_as(ThreadFeature)
    form = thread(feature.thread)
    cut = _Cut(form.internal_minor_mm, form.depth_internal_mm, inwards=False)
    return _thread(job, job.operation_as(InternalThread), form, cut)


def _thread(job: Job, operation: ExternalThread | InternalThread, form: Thread, cut: _Cut) -> list[Step]:
    feature = job.feature_as(ThreadFeature)
    if job.tool.pitch_mm is not None and job.tool.pitch_mm > form.pitch_mm + 1e-9:
        cause = f"the insert cuts pitches from {float(job.tool.pitch_mm):g}, {form.name} has {float(form.pitch_mm):g}"
        raise fault(job, codes.TOOL_FIT, cause, job.tool.pitch_mm)
    if feature.to_mm <= feature.from_mm:
        raise fault(job, codes.UNREACHABLE, "the thread ends before it begins", feature.to_mm, feature.from_mm)
    run_in = operation.run_in_mm if operation.run_in_mm is not None else _RUN_IN * form.pitch_mm
    start = _FACE - feature.from_mm + run_in
    end = _FACE - feature.to_mm - feature.run_out_mm / 2.0
    away = _away(job, cut)
    speed = fixed_speed_rpm(job, form.major_mm)
    steps: list[Step] = [*begin_turning(job, Turning(fixed=speed)), Rapid(z=start), Rapid(x=away)]
    depths = infeed(cut.depth_mm, _count(job, operation, form, cut))
    depths += [depths[-1]] * int(operation.spring_passes + 0.5)
    for depth in depths:
        x = cut.start_dia_mm - 2.0 * depth if cut.inwards else cut.start_dia_mm + 2.0 * depth
        steps += [Rapid(x=x), ThreadPass(z=end, lead=form.pitch_mm), Rapid(x=away), Rapid(z=start)]
    return [*steps, *end_turning(job)]


def _away(job: Job, cut: _Cut) -> Number:
    if cut.inwards:
        return cut.start_dia_mm + 2.0 * clear_mm(job)
    return maximum(cut.start_dia_mm - 2.0 * clear_mm(job), 0.0)


def _count(job: Job, operation: ExternalThread | InternalThread, form: Thread, cut: _Cut) -> int:
    if operation.passes is not None:
        return max(1, int(operation.passes + 0.5))
    if operation.first_depth_mm is not None:
        # Depth after the first of N passes is d / sqrt(N), so N = (d / first)^2.
        count = max(1.0, ceil((cut.depth_mm / operation.first_depth_mm) ** 2.0))
        check_amount(job, int(min(count, _MOST)), int(operation.spring_passes) + 1)
        return int(count)
    return int(maximum(_FIRST, ceil(_PER_PITCH * form.pitch_mm)))
