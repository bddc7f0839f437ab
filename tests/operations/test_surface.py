"""The marks that a feed leaves against what the drawing allows."""

from __future__ import annotations

import pytest

from gemel.families.resolve import jobs_of, resolve
from gemel.operations.surface import Surface, rough_surfaces, surface_of
from support.demo_family import demo_family

FINISH = "tool: turn-finish-35, cutting: {feed: 0.08}}"


def _surface(asked: str, feed: float = 0.08) -> Surface:
    family = demo_family(
        "valve-stem",
        ("  profile:\n    kind: turned\n", f"  profile:\n    kind: turned\n    roughness: {asked}\n"),
        (FINISH, FINISH.replace("0.08", f"{feed:g}")),
    )
    found = surface_of(jobs_of(family, resolve(family, "75"))["finish-stem"])
    assert found is not None
    return found


def test_marks_of_published_examples() -> None:
    """Feed 0.2 under a corner of 0.4 leaves 12.5 um by f^2 / (8 r); the mean is a 3.897th of it (published)."""
    surface = _surface("{rz: 16}", feed=0.2)
    assert surface.rz_um == pytest.approx(12.5)
    assert surface.rz_um / surface.ra_um == pytest.approx(3.897, abs=0.001)
    assert not surface.is_rough


@pytest.mark.parametrize(
    ("asked", "feed", "rough"),
    [
        ("{rz: 6.3}", 0.14, False),
        ("{rz: 6.3}", 0.143, True),
        ("{ra: 1.6}", 0.141, False),
        ("{ra: 1.6}", 0.142, True),
        ("{rz: 6.3, ra: 0.4}", 0.1, True),
        ("{}", 3.0, False),
    ],
)
def test_limits_hold_to_the_last_feed(asked: str, feed: float, rough: bool) -> None:  # noqa: FBT001 # a column
    """The feeds on both sides of f = sqrt(8 r Rz) and f = sqrt(31.18 r Ra); where both are asked both must hold."""
    assert _surface(asked, feed).is_rough is rough


def test_the_feed_that_is_offered_just_does() -> None:
    """The largest feed offered gives what is asked, no less."""
    offered = _surface("{rz: 4, ra: 1.6}", feed=0.3).feed_mm_rev
    assert offered is not None
    again = _surface("{rz: 4, ra: 1.6}", feed=offered - 1e-6)
    assert not again.is_rough
    assert _surface("{rz: 4, ra: 1.6}", feed=offered + 1e-3).is_rough


def test_a_warning_names_feed_and_operation() -> None:
    """The warning stands at the feed's line, and at the operation's."""
    family = demo_family(
        "valve-stem", ("  profile:\n    kind: turned\n", "  profile:\n    kind: turned\n    roughness: {rz: 1}\n")
    )
    [finding] = rough_surfaces(jobs_of(family, resolve(family, "75")).values())
    assert finding.name == "operation:rough"
    assert (finding.labels[0].text, finding.labels[0].words) == ("0.08", "this feed")
    assert "finish-stem: feed 0.08 with turn-finish-35 leaves Rz 2.0, Ra 0.5; the drawing allows Rz 1" in finding.cause


def test_roughing_and_what_has_no_corner_leave_no_surface() -> None:
    """A roughing pass is not judged, nor a groove, a drill or a mill."""
    family = demo_family("valve-stem")
    surfaces = {name: surface_of(job) for name, job in jobs_of(family, resolve(family, "75")).items()}
    assert {name for name, surface in surfaces.items() if surface is not None} == {
        "face-front",
        "finish-stem",
        "face-back",
    }


def test_the_demo_asks_for_nothing_that_its_feeds_do_not_give() -> None:
    """No demo family warns of a surface."""
    for name in ("valve-stem", "port-block", "sensor-collar", "hex-coupling"):
        family = demo_family(name)
        for member in family.members():
            assert list(rough_surfaces(jobs_of(family, resolve(family, member)).values())) == []
