"""How many edits the latest copies hold, and what became of them; compared once for each copy, then remembered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Finding, Findings
from gemel.history import PairName, digest, read_repository
from gemel.history.derived import key_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.history import IntakeFacts
    from gemel.history.derived import Derived
    from gemel.shop.layout import Shop

__all__ = ["NONE", "EditCount", "count_edits", "decisions_of"]


class EditCount(NamedTuple):
    """Edits by what was decided about them.

    Attributes:
        undecided: edits of the latest copy that nobody has decided about.
        kept: decisions to keep that stand for this pair; every regeneration carries them.
        dropped, into_family: the other decisions that stand.
    """

    undecided: int = 0
    kept: int = 0
    dropped: int = 0
    into_family: int = 0


NONE = EditCount()


def count_edits(
    shop: Shop, copies: Mapping[PairName, IntakeFacts], pairs: list[PairName], derived: Derived
) -> tuple[dict[PairName, EditCount], list[Finding]]:
    """Edits and decisions of pairs, and why that of some is not known."""
    counts: dict[PairName, EditCount] = {}
    findings: list[Finding] = []
    found, faults = _edits(shop, copies, derived)
    findings.extend(faults)
    decided: dict[str, dict[str, dict[str, str]]] = {}
    for pair in pairs:
        try:
            if pair.family not in decided:
                decided[pair.family] = decisions_of(shop, pair.family, derived)
        except Findings as error:
            decided[pair.family] = {}
            findings.extend(error.findings)
        verbs = decided[pair.family].get(f"{pair.machine}/{pair.member}", {})
        made = list(verbs.values())
        undecided = sum(edit not in verbs for edit in found.get(pair, ()))
        counts[pair] = EditCount(undecided, made.count("keep"), made.count("drop"), made.count("into family"))
    return counts, findings


def decisions_of(shop: Shop, family: str, derived: Derived) -> dict[str, dict[str, str]]:
    """What stands decided in a family: by `machine/member`, what became of each edit, by its id.

    Raises:
        Findings: every fault of the file.
    """
    name = f"families/{family}.edits.yaml"
    if not (shop.root / name).is_file():
        return {}
    file = shop.read(name)
    key = key_of("decisions", name, file.digest)
    value: dict[str, dict[str, str]] | None = derived.get(key)
    if value is None:
        from gemel.edits.records import read_records, standing  # noqa: PLC0415 # heavy, and only for a new file

        records = read_records(file.text, file.name)
        value = {}
        for member, machine in {(record.edit.member, record.edit.machine): None for record in records}:
            stands = standing(records, member, machine)
            value[f"{machine}/{member}"] = {edit: record.verb.value for edit, record in stands.items()}
        derived.put(key, value)
    return value


def _edits(
    shop: Shop, copies: Mapping[PairName, IntakeFacts], derived: Derived
) -> tuple[dict[PairName, list[str]], list[Finding]]:
    """Ids of the edits of each pair's latest copy."""
    from gemel.shop.pool import in_order  # noqa: PLC0415 # needed only where something is missing

    found: dict[PairName, list[str]] = {}
    missing: list[tuple[str, PairName, str]] = []
    for pair, facts in copies.items():
        key = key_of("edits", _file_digest(shop, f"templates/{pair.machine}/machine.yaml"), dict(facts.blobs))
        value = derived.get(key)
        if value is None:
            missing.append((str(shop.root), pair, key))
        else:
            found[pair] = value
    findings: list[Finding] = []
    for (_, pair, key), outcome in zip(missing, in_order(_compare, missing, len(missing)), strict=True):
        if isinstance(outcome, tuple):
            findings.extend(outcome)
        else:
            found[pair] = outcome
            derived.put(key, outcome)
    return found, findings


def _file_digest(shop: Shop, name: str) -> str:
    path = shop.root / name
    return digest(path.read_bytes()) if path.is_file() else ""


def _compare(task: tuple[str, PairName, str]) -> list[str] | tuple[Finding, ...]:
    """Ids of the edits of one pair's latest copy, or why they are not known. May run in another process."""
    from gemel.shop.edited import edited_pair  # noqa: PLC0415 # heavy
    from gemel.shop.layout import Shop  # noqa: PLC0415 # with the rest
    from gemel.shop.prove_files import machine_of  # noqa: PLC0415 # heavy

    root, pair, _ = task
    try:
        shop = Shop(Path(root))
        found = edited_pair(shop, read_repository(shop.root), machine_of(shop, pair.machine), pair)
    except Findings as error:
        return error.findings
    return [edit.id for edit in found.edits] if found else []
