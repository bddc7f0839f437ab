"""Every process by its name in the family file."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.operations.axial_hole import bore, drill_axial, spot_axial, tap_axial
from gemel.operations.back_chamfer import back_chamfer
from gemel.operations.bar_feed import bar_feed
from gemel.operations.bar_pull import bar_pull
from gemel.operations.bolt_circle import bolt_circle_drill, bolt_circle_spot, bolt_circle_tap
from gemel.operations.chamfer_edges import chamfer_edges
from gemel.operations.cross_hole import chamfer_cross, drill_cross, spot, tap_cross
from gemel.operations.cut_off import cut_off
from gemel.operations.face import back_face, face
from gemel.operations.finish_turn import finish_turn
from gemel.operations.groove import face_groove, groove
from gemel.operations.mill_flats import mill_flats
from gemel.operations.mill_slot import mill_slot
from gemel.operations.part_away import part_away
from gemel.operations.posted_body import posted_body
from gemel.operations.room import check_room
from gemel.operations.rough_turn import rough_turn
from gemel.operations.take_over import take_over
from gemel.operations.thread_turn import external_thread, internal_thread
from gemel.operations.tidy import without_idle_rapids

if TYPE_CHECKING:
    from collections.abc import Callable

    from gemel.families.part import Job
    from gemel.operations.steps import Step

__all__ = ["PROCESSES", "toolpath"]

PROCESSES: dict[str, Callable[[Job], list[Step]]] = {
    "back_chamfer": back_chamfer,
    "back_face": back_face,
    "bar_feed": bar_feed,
    "bar_pull": bar_pull,
    "bolt_circle_drill": bolt_circle_drill,
    "bolt_circle_spot": bolt_circle_spot,
    "bolt_circle_tap": bolt_circle_tap,
    "bore": bore,
    "chamfer_cross": chamfer_cross,
    "chamfer_edges": chamfer_edges,
    "cut_off": cut_off,
    "drill_axial": drill_axial,
    "drill_cross": drill_cross,
    "external_thread": external_thread,
    "face": face,
    "face_groove": face_groove,
    "finish_turn": finish_turn,
    "groove": groove,
    "internal_thread": internal_thread,
    "mill_flats": mill_flats,
    "mill_slot": mill_slot,
    "part_away": part_away,
    "rough_turn": rough_turn,
    "spot": spot,
    "spot_axial": spot_axial,
    "take_over": take_over,
    "tap_axial": tap_axial,
    "tap_cross": tap_cross,
}


def toolpath(job: Job) -> list[Step]:
    """The steps of one operation, beginning and ending at a safe place.

    Raises:
        Findings: `operation:` faults, when the process cannot make what the family asks; `body:` faults of a file of
            blocks that does the work instead.
    """
    if job.body is not None:
        return posted_body(job)
    steps = without_idle_rapids(PROCESSES[job.operation.process](job))
    check_room(job, steps)
    return steps
