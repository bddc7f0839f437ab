"""Proofs that need not be made again: of the very bytes, for the very machine file, by the very gemel.

`gemel write` proves each pair that it is about to put in place, and mostly the pairs are as they were. A proof that
has passed is remembered under a digest of everything that it follows from: the name and bytes of every program, the
machine file, what is known of material and tools, and gemel's own code. So what is remembered can be right or missing,
never out of date: a program that differs in one byte has another key, and is proved.

Nothing is believed beyond that. Only proofs without an error are kept, so that a remembered proof can never let
through what a proof would refuse of other bytes; what stands under a key is checked for its form, and anything that is
not exactly a list of warnings counts as missing; the file that holds it bears its own checksum. `release` and `send`
prove again.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from gemel.findings import Finding, Label, Severity, Span
from gemel.history import digest
from gemel.history.derived import Derived, key_of

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from gemel.cutting.facts import CuttingFacts
    from gemel.shop.layout import TextFile

__all__ = ["known_proof", "proof_key", "remembered_as"]


def proof_key(programs: Mapping[str, tuple[str, bytes]], machine: TextFile, cutting: CuttingFacts) -> str:
    """The key of a proof: everything that its findings follow from.

    Args:
        programs: name and bytes of each channel's program; the names stand in the findings.
        machine: the machine file.
        cutting: what is known of material and tools.
    """
    texts = {channel: f"{name} {digest(data)}" for channel, (name, data) in programs.items()}
    return key_of("proved", texts, machine.name, machine.digest, digest(repr(cutting).encode()))


def known_proof(folder: str, key: str) -> tuple[Finding, ...] | None:
    """The warnings of a proof that was made and passed; None where it must be made.

    Args:
        folder: where the shop's derived values are kept; empty for nowhere.
        key: as `proof_key` gives it.
    """
    value = Derived(Path(folder)).get(key) if folder else None
    if not isinstance(value, list):
        return None
    try:
        findings = tuple(_finding(entry) for entry in value)
    except (TypeError, ValueError, KeyError):
        return None
    return findings if all(f.severity is Severity.WARNING for f in findings) else None


def remembered_as(findings: Iterable[Finding]) -> list[dict[str, Any]] | None:
    """What is to be remembered of a proof: its warnings; None of one that did not pass."""
    found = list(findings)
    if any(f.severity is not Severity.WARNING for f in found):
        return None
    return [
        {
            "rule": f.rule,
            "code": f.code,
            "severity": f.severity.value,
            "cause": f.cause,
            "remedy": f.remedy,
            "labels": [[*label.span, label.text, label.words, label.channel] for label in f.labels],
        }
        for f in found
    ]


def _finding(entry: dict[str, Any]) -> Finding:
    """The finding that was remembered.

    Raises:
        TypeError, ValueError, KeyError: it is none.
    """
    words = {name: _text(entry[name]) for name in ("rule", "code", "cause", "remedy")}
    labels = tuple(_label(*label) for label in entry["labels"])
    severity = Severity(entry["severity"])
    return Finding(words["rule"], words["code"], severity, words["cause"], labels, words["remedy"])


def _label(source: object, line: object, start: object, end: object, *words: object) -> Label:
    text, more, channel = (_text(word) for word in words)
    return Label(Span(_text(source), _number(line), _number(start), _number(end)), text, more, channel)


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(value)
    return value


def _number(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise TypeError(value)
    return value
