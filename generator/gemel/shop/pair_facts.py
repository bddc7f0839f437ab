"""What is known of pairs and families by their digests: worked out once, remembered in git's folder.

`status` asks for a hundred pairs at once; nothing here is needed to write, release or send one.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from gemel.findings import Findings
from gemel.history import PairName, digest
from gemel.history.derived import Derived, key_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.history import Record, Repository, StoredPair
    from gemel.shop.layout import Shop

__all__ = ["FamilyFacts", "Proof", "derived_of", "family_facts", "proofs", "remember_same", "same_today"]


def derived_of(shop: Shop, repository: Repository | None) -> Derived:
    """Where the shop's derived values are kept: in git's folder, without git in `.gemel/`."""
    return Derived(repository.folder / "gemel" if repository else shop.root / ".gemel")


@dataclass(frozen=True, slots=True)
class FamilyFacts:
    """What a family's file lists.

    Attributes:
        machine: the family's own.
        drawing, revision: as they stand there.
        members: program number by member.
        fault: why nothing else is known; empty where it is.
    """

    machine: str
    drawing: str
    revision: str
    members: Mapping[str, int]
    fault: str = ""


def family_facts(shop: Shop, name: str, derived: Derived) -> FamilyFacts:
    """What a family's file lists; a file that cannot be read gives its first fault."""
    try:
        file = shop.family(name)
        key = key_of("family", name, file.digest)
        value = derived.get(key)
        if value is None:
            value = _listed(file.text, file.name)
            derived.put(key, value)
    except Findings as error:
        return FamilyFacts("", "", "", {}, error.findings[0].cause)
    return FamilyFacts(**value)


def _listed(text: str, name: str) -> dict[str, Any]:
    """What stands in the file, without settling any value.

    Raises:
        Findings: it is no YAML.
    """
    from gemel.documents import compose  # noqa: PLC0415 # heavy, and not needed where the file is known

    value = compose(text, name).value
    family = value if isinstance(value, dict) else {}
    drawing = family.get("drawing")
    drawing = drawing if isinstance(drawing, dict) else {}
    members = family.get("members")
    rows = members.items() if isinstance(members, dict) else ()
    numbers = {str(name): row.get("program") for name, row in rows if isinstance(row, dict)}
    return {
        "machine": str(family.get("machine", "")),
        "drawing": str(drawing.get("number", "")),
        "revision": str(drawing.get("revision", "")),
        "members": {name: int(number) for name, number in numbers.items() if isinstance(number, int)},
    }


class Proof(NamedTuple):
    """What proving and timing a pair gave.

    Attributes:
        errors, warnings: how many the proof found.
        period_s: seconds from one part to the next; None where the pair hangs.
        unknown: how many blocks have a duration that nobody knows.
        fault: why the pair could not be proved; empty where it could.
    """

    errors: int
    warnings: int
    period_s: float | None
    unknown: int
    fault: str = ""


def proofs(shop: Shop, pairs: Iterable[StoredPair], derived: Derived) -> dict[PairName, Proof]:
    """Proof and cycle time of pairs, from what is remembered, else worked out now."""
    from gemel.shop.pool import in_order  # noqa: PLC0415 # needed only where something is missing

    found: dict[PairName, Proof] = {}
    missing: list[tuple[str, PairName, str]] = []
    digests: dict[str, str] = {}
    for stored in pairs:
        texts = {file: digest(data) for file, data in stored.texts.items()}
        key = key_of("proof", stored.name.member, texts, _known_to_a_proof(shop, stored.name, digests))
        value = derived.get(key)
        if value is None:
            missing.append((str(shop.root), stored.name, key))
        else:
            found[stored.name] = Proof(*value)
    for (_, name, key), proof in zip(missing, in_order(_work_out, missing, len(missing)), strict=True):
        found[name] = proof
        if not proof.fault:
            derived.put(key, list(proof))
    return found


def _known_to_a_proof(shop: Shop, pair: PairName, digests: dict[str, str]) -> dict[str, str]:
    """Digests of the files beside the texts that a proof looks into: machine, tools, material of the member."""
    machine = f"templates/{pair.machine}/machine.yaml"
    names = (machine, f"families/{pair.family}.yaml", "templates/tools.yaml", "templates/materials.yaml")
    for name in names:
        if name not in digests:
            path = shop.root / name
            digests[name] = digest(path.read_bytes()) if path.is_file() else ""
    return {name: digests[name] for name in names}


def _work_out(task: tuple[str, PairName, str]) -> Proof:
    """Proof and cycle time of one pair as it stands in `output/`. May run in another process."""
    from gemel.findings import Severity  # noqa: PLC0415 # with the rest
    from gemel.shop.layout import Shop  # noqa: PLC0415 # with the rest
    from gemel.shop.prove_files import Proved, machine_of, prove_stored  # noqa: PLC0415 # heavy
    from gemel.timing import time_pair  # noqa: PLC0415 # heavy

    root, name, _ = task
    proved = prove_stored((root, name))
    if not isinstance(proved, Proved):
        return Proof(0, 0, None, 0, proved[0].cause if proved else "it cannot be read")
    findings = proved.verdict.findings
    line = time_pair(proved.programs, machine_of(Shop(Path(root)), name.machine))
    return Proof(
        sum(f.is_error for f in findings),
        sum(f.severity is Severity.WARNING for f in findings),
        line.period_s,
        len(line.unknown),
    )


def _same_key(record: Record) -> str:
    return key_of("same", record.machine, record.family, record.member, record.inputs)


def remember_same(derived: Derived, today: Record) -> None:
    """Remember that the shop's files as they are today give these texts."""
    derived.put(_same_key(today), dict(today.texts))


def same_today(derived: Derived, record: Record, inputs: Mapping[str, str]) -> bool:
    """Whether the files as they are today are known to give the texts that a record names."""
    key = key_of("same", record.machine, record.family, record.member, inputs)
    return bool(derived.get(key) == dict(record.texts))
