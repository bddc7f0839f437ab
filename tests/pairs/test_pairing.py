"""Stage table and toolpaths to channels with wait marks."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gemel.findings import Findings
from gemel.pairs import PairPlan, pair
from support.pairs import machine, part, toolpaths, with_stages

MACHINE = machine()


def marks(plan: PairPlan) -> dict[str, list[int]]:
    return {
        name: [*(stage.mark.number for stage in channel.stages), channel.closing.mark.number]
        for name, channel in plan.channels.items()
    }


def test_every_channel_has_the_same_rising_marks_and_one_behind_the_last_stage() -> None:
    """Three stages give four marks, first to first + 3 steps, in both channels."""
    found = marks(pair(part(), MACHINE, toolpaths()))
    assert found == {"upper": [701, 702, 703, 704], "lower": [701, 702, 703, 704]}


def test_a_member_that_skips_an_operation_keeps_the_marks() -> None:
    """Marks and sequence numbers of a stage do not depend on the operations in it."""
    full = pair(with_stages({"lower": ("face-front",)}, {"upper": ("mill-flats",)}), MACHINE, toolpaths())
    less = pair(with_stages({"lower": ("face-front",)}, {"upper": ()}), MACHINE, toolpaths())
    assert marks(full) == marks(less)
    sequences = [[s.sequence for s in plan.channels["upper"].stages] for plan in (full, less)]
    assert sequences == [[100, 200], [100, 200]]


def test_both_sides_say_what_is_waited_for() -> None:
    """The waiting channel names the work it waits for; the working one names who waits for it."""
    plan = pair(part(), MACHINE, toolpaths())
    upper, lower = (plan.channels[name].stages[1].mark.waiting_for for name in ("upper", "lower"))
    assert upper == "WAIT FOR lower: face front DONE"
    assert lower == "upper WAITS FOR lower: face front DONE"


def test_sequence_numbers_tell_the_stage() -> None:
    """Stage k opens at k x 100 and its operations lie between that and the next stage."""
    plan = pair(part(), MACHINE, toolpaths())
    (flats,) = plan.channels["upper"].stages[1].operations
    assert (plan.channels["upper"].stages[1].sequence, flats.number) == (200, 210)


def test_many_operations_in_a_stage_move_closer_together() -> None:
    """Eleven operations do not fit in steps of ten before the next stage; they keep their order inside it."""
    paths = toolpaths() | {f"op-{n}": toolpaths()["face-front"] for n in range(11)}
    base = part()
    ids = tuple(f"op-{n}" for n in range(11))
    operations = dict.fromkeys(ids, base.operations["face-front"])
    crowded = replace(with_stages({"lower": ids}), operations=operations)
    stage = pair(crowded, MACHINE, paths).channels["lower"].stages[0]
    numbers = [operation.number or 0 for operation in stage.operations]
    assert numbers == sorted(set(numbers))
    assert 100 < numbers[0] <= numbers[-1] < 200


def test_too_many_stages_are_a_finding() -> None:
    """A table that needs more marks than the machine has is refused, with the count that fits."""
    with pytest.raises(Findings) as caught:
        pair(with_stages(*[{} for _ in range(99)]), MACHINE, toolpaths())
    (finding,) = caught.value.findings
    assert finding.name == "family:waits-used-up"
    assert "98 stages" in finding.cause


def test_the_last_number_may_be_used() -> None:
    """98 stages use exactly 701 to 799."""
    found = marks(pair(with_stages(*[{} for _ in range(98)]), MACHINE, toolpaths()))
    assert found["upper"][-1] == 799


def test_an_operation_without_a_toolpath_is_a_finding() -> None:
    """Nothing is left out of a program without a word."""
    with pytest.raises(Findings) as caught:
        pair(part(), MACHINE, {})
    assert {finding.name for finding in caught.value.findings} == {"pairs:no-toolpath"}


def test_a_stage_with_more_operations_than_numbers_is_a_finding() -> None:
    """Two operations do not fit between N1 and N2."""
    tight = machine(stage=("stage: 100, operation: 10", "stage: 2, operation: 1"))
    paths = toolpaths() | {"again": toolpaths()["face-front"]}
    base = with_stages({"lower": ("face-front", "again")})
    base = replace(base, operations=dict(base.operations) | {"again": base.operations["face-front"]})
    with pytest.raises(Findings) as caught:
        pair(base, tight, paths)
    assert caught.value.findings[0].name == "pairs:sequence-full"


def test_three_channels_meet_at_every_mark() -> None:
    """A machine with a third channel gives it the same marks, naming all three."""
    base = MACHINE
    third = base.model_copy(update={"channels": dict(base.channels) | {"rear": base.channels["lower"]}})
    plan = pair(part(), third, toolpaths())
    assert len({tuple(numbers) for numbers in marks(plan).values()}) == 1
    assert plan.channels["rear"].stages[0].mark.channels == ("upper", "lower", "rear")
    assert plan.channels["lower"].stages[1].mark.waiting_for == "upper AND rear WAIT FOR lower: face front DONE"


_ROW = st.fixed_dictionaries(
    {"lower": st.sampled_from([(), ("face-front",)]), "upper": st.sampled_from([(), ("mill-flats",)])}
)


@given(st.lists(_ROW, min_size=1, max_size=12))
@settings(max_examples=60, deadline=None)
def test_marks_agree_for_any_stage_table(rows: list[dict[str, tuple[str, ...]]]) -> None:
    """Whatever the table, all channels have the same strictly rising marks and no operation is lost."""
    plan = pair(with_stages(*rows), MACHINE, toolpaths())
    upper, lower = marks(plan).values()
    assert upper == lower == sorted(set(upper))
    assert len(upper) == len(rows) + 1
    for name, channel in plan.channels.items():
        run = [operation.id for stage in channel.stages for operation in stage.operations]
        assert run == [operation for row in rows for operation in row.get(name, ())]
