"""The tool plan of a machine over its families."""

from __future__ import annotations

from functools import cache

from gemel.families.tool_plan import ToolPlan, tool_plan
from support.demo_family import demo_family, turnmill


@cache
def _demo() -> ToolPlan:
    return tool_plan(
        turnmill(), [demo_family(n) for n in ("valve-stem", "port-block", "hex-coupling", "sensor-collar")]
    )


def _station(plan: ToolPlan, channel: str, name: str) -> dict[str, str]:
    [found] = [s for s in plan.stations if (s.channel, s.station) == (channel, name)]
    return dict(found.wanted)


def test_every_station_says_what_each_family_wants_there() -> None:
    """The turret's station 9 holds another drill for each family that uses it, as the family files say."""
    wanted = {"hex-coupling": "axial-drill-8.8", "port-block": "axial-drill-6", "sensor-collar": "axial-drill-18"}
    assert _station(_demo(), "lower", "9") == wanted
    assert _station(_demo(), "lower", "7") == {}


def test_stations_with_different_tools_are_disputed_and_name_a_free_place() -> None:
    """Disputes are exactly where two families want different tools; a station of the same kind is offered."""
    disputed = {(s.channel, s.station): s for s in _demo().disputed}
    assert set(disputed) == {("upper", "5"), ("upper", "6"), ("lower", "9"), ("lower", "10")}
    assert disputed["upper", "5"].spare == ("10", "11", "12")
    assert disputed["lower", "9"].spare == (), "every other turning station of the turret is taken"


def test_a_tool_that_families_share_is_listed_with_them_and_its_places() -> None:
    """The end mill 12 that the machine file holds is shared by the two families that call it."""
    shared = {tool.tool: tool for tool in _demo().shared}
    assert shared["end-mill-12"].families == ("hex-coupling", "port-block")
    assert shared["end-mill-12"].places == (("upper", "1"),)
    assert shared["drill-3.3"].families == ("sensor-collar", "valve-stem")
    assert "axial-drill-18" not in shared


def test_one_tool_in_two_stations_is_seen() -> None:
    """Where a second family keeps the same drill in another station, both places are said."""
    moved = demo_family("valve-stem", ('upper: {"5": drill-3.3}', 'upper: {"8": drill-3.3}'))
    plan = tool_plan(turnmill(), [moved, demo_family("sensor-collar")])
    [drill] = [tool for tool in plan.shared if tool.tool == "drill-3.3"]
    assert drill.places == (("upper", "5"), ("upper", "8"))


def test_changeovers_count_the_stations_that_differ_both_ways() -> None:
    """Two families must change exactly the stations that both use with different tools."""
    changes = {(c.one, c.other): c.stations for c in _demo().changeovers}
    assert changes["hex-coupling", "port-block"] == (("lower", "9"),)
    assert ("hex-coupling", "valve-stem") not in changes


def test_a_tool_that_no_operation_calls_is_idle() -> None:
    """A family that fills a station nobody calls is named at that station."""
    filled = demo_family("valve-stem", ('upper: {"5": drill-3.3}', 'upper: {"5": drill-3.3, "9": tap-m3}'))
    [station] = [s for s in tool_plan(turnmill(), [filled]).stations if s.station == "9" and s.channel == "upper"]
    assert station.idle == ("valve-stem",)
    assert station.wanted == {"valve-stem": "tap-m3"}


def test_the_order_of_the_families_does_not_matter() -> None:
    """The plan is the same whichever way the families are given; free magazine stations are counted."""
    backwards = [demo_family(n) for n in ("hex-coupling", "sensor-collar", "port-block", "valve-stem")]
    assert tool_plan(turnmill(), backwards) == _demo()
    assert _demo().magazine == {"upper": 31}
