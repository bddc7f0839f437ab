"""Sheets and charts of pairs: made in parallel, then put into one folder as a whole."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.families.tool_plan import tool_plan
from gemel.findings import Findings, Label, Span
from gemel.history import hold_shop
from gemel.reports.index import index_page
from gemel.reports.tools_page import tools_page
from gemel.shop import inputs, pipeline, sheet_codes
from gemel.shop.make_sheet import MadeSheet, SheetTask, make_sheet, pdf_or_finding
from gemel.shop.pool import in_order
from gemel.shop.sheet_folder import Contents, read_contents, store_contents
from gemel.shop.targets import targets_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from gemel.families.load import Family
    from gemel.families.tool_plan import ToolPlan
    from gemel.findings import Finding
    from gemel.shop.layout import Shop

__all__ = ["SheetOrder", "SheetRun", "prepare_sheets"]


class SheetOrder(NamedTuple):
    """What is wanted.

    Attributes:
        targets: families or `family/member`; all families when empty.
        machine: for another machine than the family's own.
        folder: where the pages go.
        pdf: whether each sheet is made as PDF too.
    """

    targets: tuple[str, ...]
    machine: str | None
    folder: Path
    pdf: bool


@dataclass(slots=True)
class SheetRun:
    """A run that is ready to begin.

    Attributes:
        shop: where. order: what.
        tasks: one for each pair.
        plans: the tool plan of each machine that is concerned.
        findings: of families that cannot be read.
        unread: names of those families.
    """

    shop: Shop
    order: SheetOrder
    tasks: list[SheetTask]
    plans: dict[str, ToolPlan]
    findings: list[Finding]
    unread: frozenset[str]
    _made: Contents = field(default_factory=lambda: Contents({}, {}, {}), init=False)

    @property
    def total(self) -> int:
        """How many pairs it will look at."""
        return len(self.tasks)

    def made(self) -> Iterator[MadeSheet]:
        """What comes of each pair, one after the other; nothing is stored yet."""
        for sheet in in_order(make_sheet, self.tasks, self.total):
            if sheet.about is not None:
                self._take(sheet.key, sheet.about, sheet.files)
            yield sheet

    def _take(self, key: str, about: dict[str, Any], files: dict[str, bytes]) -> None:
        self._made = self._made.and_(Contents({key: about}, files, dict.fromkeys(files, key)))

    def store(self) -> tuple[int, list[Finding]]:
        """Put everything in place; gives how many files the folder holds, and what was remarked.

        A run over the whole shop leaves nothing of before; one over some pairs replaces theirs.

        Raises:
            Findings: another gemel is at work, or somebody put files into the folder.
            OSError: the disk; the folder stands as it was.
        """
        remarked = []
        for plan in self.plans.values():
            remarked += self._take_tools(plan)
        with hold_shop(self.shop.root, "making sheets"):
            before = read_contents(self.order.folder)
            refused = {task.key for task in self.tasks} - set(self._made.entries)
            gone = refused | (self._gone(before) if not self.order.targets and self.order.machine is None else set())
            now = before.without(gone).and_(self._made)
            store_contents(self.order.folder, now, index_page(now.entries.values()))
        return len(now.files), remarked

    def _gone(self, before: Contents) -> set[str]:
        """What a run over the whole shop leaves out: all but the sheets of families that cannot be read now."""
        return {
            name for name, about in before.entries.items() if about.get("name", "").partition("/")[0] not in self.unread
        }

    def _take_tools(self, plan: ToolPlan) -> list[Finding]:
        page = tools_page(plan)
        path = f"{plan.machine}/tools"
        files = {f"{path}.html": page.encode()}
        pages = {f"{path}.html": "tool plan"}
        findings: list[Finding] = []
        if self.order.pdf:
            made, findings = pdf_or_finding(page, f"{path}.html")
            if made is not None:
                files[f"{path}.pdf"] = made
                pages[f"{path}.pdf"] = "PDF"
        self._take(f"{plan.machine}:tools", {"machine": plan.machine, "pages": pages}, files)
        return findings


def prepare_sheets(shop: Shop, order: SheetOrder) -> SheetRun:
    """Find out what is to be made, reading only.

    Raises:
        Findings: a family or member that is not there, or a folder that is not gemel's.
    """
    read_contents(order.folder)
    families, unread = _families(shop)
    findings = [
        sheet_codes.UNREAD_FAMILY.found(
            f"{name} has faults; the tools that it wants are in no sheet", Label(Span(f"families/{name}.yaml"))
        )
        for name in unread
    ]
    tasks: list[pipeline.Task] = []
    for target in targets_of(shop, order.targets):
        try:
            tasks += pipeline.tasks(shop, target, order.machine, prove=False)
        except Findings as error:
            findings.extend(error.findings)
    plans: dict[str, ToolPlan] = {}
    for name in dict.fromkeys(task.machine for task in tasks):
        own = [f for f in families if str(f.machine.machine) == name]
        machine = own[0].machine if own else inputs.load_machine_of(shop, name)
        plans[name] = tool_plan(machine, own)
    made = [SheetTask(task, plans[task.machine], order.pdf) for task in tasks]
    return SheetRun(shop, order, made, plans, list(dict.fromkeys(findings)), frozenset(unread))


def _families(shop: Shop) -> tuple[list[Family], list[str]]:
    """Every family that can be read, and the names of those that cannot."""
    families: list[Family] = []
    unread: list[str] = []
    for name in shop.family_names():
        try:
            families.append(inputs.load(shop, name).family)
        except Findings:
            unread.append(name)
    return families, unread
