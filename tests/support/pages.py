"""Pages of demo pairs, made straight from the files of the demo shop."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from gemel.families.bar_need import bar_need
from gemel.families.resolve import jobs_of
from gemel.families.tool_plan import tool_plan
from gemel.proving import prove
from gemel.reports.chart import chart_page, comparison_page
from gemel.reports.reread import reread
from gemel.reports.sheet import SheetSource, sheet_page
from gemel.reports.tools_page import tools_page
from gemel.shop import inputs, pipeline
from gemel.shop.layout import Shop
from gemel.shop.make_sheet import about_text, programs_of, timed
from gemel.shop.targets import Target
from support.demo import ROOT

if TYPE_CHECKING:
    from gemel.families.tool_plan import ToolPlan
    from gemel.reports.chart import ChartSource
    from gemel.shop.pipeline import Rendered

__all__ = ["EXAMPLES", "PAGES", "chart_source", "page_of", "plan_of", "rendered", "sheet_source"]

EXAMPLES = (
    ("twin-turnmill", "port-block", "65"),
    ("twin-turnmill", "valve-stem", "60"),
    ("twin-turnmill", "hex-coupling", "30"),
    ("twin-turnmill", "sensor-collar", "16"),
    ("inch-duplex", "port-block", "20"),
)
"""One pair of every demo family, and one for the machine in inches."""

PAGES = (
    *((kind, *example) for kind in ("sheet", "chart") for example in EXAMPLES),
    ("compared", "twin-turnmill", "sensor-collar", "16"),
    ("tools", "twin-turnmill", "", ""),
)


@cache
def rendered(machine: str, family: str, member: str) -> Rendered:
    """The pair, rendered once for all tests of a process."""
    [task] = pipeline.tasks(Shop(ROOT), Target(family, (member,)), machine, prove=False)
    return pipeline.render(task)


@cache
def plan_of(machine: str) -> ToolPlan:
    """The tool plan over the demo families of a machine."""
    shop = Shop(ROOT)
    families = [inputs.load(shop, name, machine).family for name in shop.family_names()]
    return tool_plan(families[0].machine, families)


@cache
def sheet_source(machine: str, family: str, member: str) -> SheetSource:
    """What the sheet of a pair is made from."""
    made = rendered(machine, family, member)
    programs = programs_of(made)
    pair = reread(programs, made.loaded.machine)
    return SheetSource(
        part=made.part,
        plan=made.plan,
        machine=made.loaded.machine,
        jobs=jobs_of(made.loaded.family, made.part),
        files=tuple(made.names),
        pair=pair,
        stamp=made.stamp,
        verdict=prove(programs, made.loaded.machine),
        timeline=pair.timeline(),
        bar=bar_need(made.loaded.family, made.part),
        tools=plan_of(machine),
    )


def chart_source(machine: str, family: str, member: str, override: float = 1.0) -> ChartSource:
    """What the chart of a pair is made from."""
    made = rendered(machine, family, member)
    pair = reread(programs_of(made), made.loaded.machine)
    return timed(made, pair, pair.timeline(override), about_text(made))


@cache
def page_of(kind: str, machine: str, family: str, member: str) -> str:
    """A page: `sheet`, `chart`, `compared`, `tools`."""
    match kind:
        case "sheet":
            return sheet_page(sheet_source(machine, family, member))
        case "chart":
            return chart_page(chart_source(machine, family, member))
        case "compared":
            return comparison_page(chart_source(machine, family, member), chart_source(machine, family, member, 0.7))
        case _:
            return tools_page(plan_of(machine))
