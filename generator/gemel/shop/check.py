"""Check families and machine files without writing anything: all findings of all files."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.families.remarks import unused_values
from gemel.findings import Finding, Findings, Label, Span, did_you_mean
from gemel.shop import codes, inputs, pipeline
from gemel.shop.pool import in_order
from gemel.shop.targets import Target, duplicate_programs

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.shop.layout import Shop

__all__ = ["Checked", "check", "files_of"]


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found in one file.

    Attributes:
        file: its name relative to the shop.
        members: how many members were made from it, for a family.
        findings: each once.
    """

    file: str
    members: int
    findings: tuple[Finding, ...]


def files_of(shop: Shop, words: Iterable[str]) -> list[str]:
    """The files that are named, by path or by the name of a family or machine; all without a word.

    Raises:
        Findings: `shop:no-file`.
    """
    known = {f"templates/{name}/machine.yaml": name for name in shop.machine_names()}
    known |= {f"families/{name}.yaml": name for name in shop.family_names()}
    wanted: list[str] = []
    found: list[Finding] = []
    for word in words:
        files = [file for file, name in known.items() if word in (file, name)]
        if not files:
            remedy = did_you_mean(word, [*known, *known.values()])
            cause = f"`{word}` is neither a family nor a machine of this shop"
            found.append(codes.NO_FILE.found(cause, Label(Span("gemel check"), word), remedy=remedy))
        wanted.extend(file for file in files if file not in wanted)
    if found:
        raise Findings(found)
    return wanted or list(known)


def check(shop: Shop, files: Iterable[str]) -> Iterator[Checked]:
    """What is found in each file; a family is read, and every member is made as `write` would make it, unproved."""
    doubles = duplicate_programs(shop)
    for file in files:
        if file.startswith("templates/"):
            yield Checked(file, 0, _machine(shop, file.split("/")[1]))
            continue
        family = file.removeprefix("families/").removesuffix(".yaml")
        yield _family(shop, file, family, doubles.get(family, []))


def _machine(shop: Shop, name: str) -> tuple[Finding, ...]:
    try:
        inputs.load_machine_of(shop, name)
    except Findings as error:
        return error.findings
    return ()


def _family(shop: Shop, file: str, family: str, doubles: list[Finding]) -> Checked:
    try:
        tasks = pipeline.tasks(shop, Target(family, None), None, prove=False)
    except Findings as error:
        return Checked(file, 0, tuple(dict.fromkeys([*doubles, *error.findings])))
    found = dict.fromkeys(doubles)
    if tasks:
        task = tasks[0]
        found |= dict.fromkeys(unused_values(inputs.remembered(task.root, family, task.machine, task.mark).family.form))
    for made in in_order(pipeline.make, tasks, len(tasks)):
        found |= dict.fromkeys(made.findings)
    return Checked(file, len(tasks), tuple(found))
