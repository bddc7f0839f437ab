"""Which pairs are meant by the words of a command line, and whether their program numbers are their own."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.documents import compose, label_of, place_of
from gemel.findings import Finding, Findings, Label, Span
from gemel.shop import codes

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from gemel.documents import Document
    from gemel.shop.layout import Shop

__all__ = ["Target", "duplicate_programs", "targets_of"]


@dataclass(frozen=True, slots=True)
class Target:
    """A family, and which of its members are meant; None for all."""

    family: str
    members: tuple[str, ...] | None


def targets_of(shop: Shop, words: Iterable[str]) -> list[Target]:
    """The families and members that are named; all families without a word.

    A word is `FAMILY`, `FAMILY/MEMBER`, or the path of a family's file.

    Raises:
        Findings: `shop:no-family`.
    """
    wanted: dict[str, list[str] | None] = {}
    found: list[Finding] = []
    for word in words:
        name = word.removeprefix("families/").removesuffix(".yaml")
        family, _, member = name.partition("/")
        try:
            shop.family(family)
        except Findings as error:
            found.extend(error.findings)
            continue
        members = wanted.setdefault(family, [])
        if not member:
            wanted[family] = None
        elif members is not None and member not in members:
            members.append(member)
    if found:
        raise Findings(found)
    if not wanted:
        wanted = dict.fromkeys(shop.family_names())
    return [Target(family, None if members is None else tuple(members)) for family, members in wanted.items()]


def duplicate_programs(shop: Shop) -> dict[str, list[Finding]]:
    """By family: the members that share a program number with a member of another family on the same machine.

    Families that cannot be read are passed over; writing them says why.
    """
    first: dict[tuple[str, int], tuple[str, str, Label]] = {}
    found: dict[str, list[Finding]] = {}
    for family in shop.family_names():
        for machine, member, number in _programs(shop, family):
            place = place_of(number)
            label = label_of(place, "used here") if place else Label(Span(f"families/{family}.yaml"))
            other = first.setdefault((machine, int(number)), (family, member, label))
            if other[0] == family:
                continue  # inside one family the family's own check says so
            cause = f"program {int(number)} of {family}/{member} is also that of {other[0]}/{other[1]} on {machine}"
            finding = codes.DUPLICATE_PROGRAM.found(cause, label, other[2])
            found.setdefault(family, []).append(finding)
            found.setdefault(other[0], []).append(finding)
    return found


def _programs(shop: Shop, family: str) -> Iterator[tuple[str, str, int]]:
    try:
        file = shop.family(family)
        document = compose(file.text, file.name)
    except Findings:
        return
    machine = _get(document, "machine")
    members = _get(document, "members")
    if not isinstance(machine, str) or not isinstance(members, dict):
        return
    for member, row in members.items():
        number = row.get("program") if isinstance(row, dict) else None
        if isinstance(number, int):
            yield str(machine), str(member), number


def _get(document: Document, key: str) -> object:
    return document.value.get(key) if isinstance(document.value, dict) else None
