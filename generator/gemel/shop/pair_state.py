"""How a pair in `output/` stands to the files that it is made from, told by digests, without making it."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING

from gemel import __version__
from gemel.findings import Findings
from gemel.history import digest
from gemel.shop.edit_counts import decisions_of
from gemel.shop.pair_facts import family_facts, same_today

if TYPE_CHECKING:
    from gemel.history import Record, StoredPair
    from gemel.history.derived import Derived
    from gemel.shop.layout import Shop
    from gemel.shop.pair_facts import FamilyFacts

__all__ = ["State", "States"]


class State(StrEnum):
    """How a pair in `output/` stands to the files that it is made from."""

    CURRENT = "current"
    STALE = "stale"
    NOT_WRITTEN = "not written"
    EDITED = "edited here"
    ORPHAN = "orphan"
    UNREADABLE = "unreadable"


class States:
    """States of the pairs of one shop; each file is read and hashed once."""

    def __init__(self, shop: Shop, derived: Derived) -> None:
        self._root = shop.root
        self._shop = shop
        self._derived = derived
        self._digests: dict[str, str] = {}

    def now(self, stored: StoredPair) -> tuple[State, tuple[str, ...]]:
        """The state of a pair, and why it is not current."""
        name = stored.record.family
        known = name in self._shop.family_names()
        return self.of(stored, family_facts(self._shop, name, self._derived) if known else None)

    def of(self, stored: StoredPair, family: FamilyFacts | None) -> tuple[State, tuple[str, ...]]:
        """The state of a pair of a family, None where there is no such family, and why it is not current."""
        record = stored.record
        gone = family is None or (not family.fault and record.member not in family.members)
        if stored.edited or len(stored.texts) < len(record.texts):
            missing = tuple(sorted(set(record.texts) - set(stored.texts)))
            return State.EDITED, (*stored.edited, *missing)
        if gone:
            return State.ORPHAN, ()
        today = self._inputs_today(record)
        changed = sorted(n for n in {*today, *record.inputs} if today.get(n) != record.inputs.get(n))
        if record.gemel != __version__:
            changed.append(f"gemel {record.gemel} is now {__version__}")
        if not changed or same_today(self._derived, record, today) or self._first_decisions_of_others(record, changed):
            return State.CURRENT, ()
        return State.STALE, tuple(changed)

    def _first_decisions_of_others(self, record: Record, changed: list[str]) -> bool:
        """Whether all that is new is a first file of decisions, and none of them is to keep an edit of this pair."""
        file = f"families/{record.family}.edits.yaml"
        if changed != [file] or file in record.inputs:
            return False
        try:
            verbs = decisions_of(self._shop, record.family, self._derived)
        except Findings:
            return False
        return "keep" not in verbs.get(f"{record.machine}/{record.member}", {}).values()

    def _inputs_today(self, record: Record) -> dict[str, str]:
        """Digests of the files that the pair would be made from now, as far as that can be told without making it."""
        root = self._root
        folder = root / "templates" / record.machine
        files = {p.relative_to(root).as_posix() for p in (folder / "machine.yaml", *folder.rglob("*.j2"))}
        files |= {*record.inputs, f"families/{record.family}.edits.yaml"}
        return {name: value for name in sorted(files) if (value := self._digest(name))}

    def _digest(self, name: str) -> str:
        if name not in self._digests:
            path = self._root / name
            self._digests[name] = digest(path.read_bytes()) if path.is_file() else ""
        return self._digests[name]
