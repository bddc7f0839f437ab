"""Every finding that gemel can print is explained."""

from __future__ import annotations

import re

import pytest

from gemel.findings import Findings, Severity
from gemel.shop.explain import all_codes, explain


def test_every_code_has_all_its_texts() -> None:
    """What, why, example and remedy of every code are filled, and no name stands for two faults."""
    codes = all_codes()
    assert len(codes) > 100
    for name, entry in codes.items():
        assert name == entry.name
        assert re.fullmatch(r"[a-z]+:[A-Za-z0-9-]+", name), name
        assert entry.severity in Severity
        for text in (entry.what, entry.why, entry.example, entry.remedy):
            assert text.strip(), name


def test_every_layer_is_represented() -> None:
    """Codes of documents, families, proofs, git, disk and shop are all found."""
    rules = {name.partition(":")[0] for name in all_codes()}
    assert {"document", "family", "waits", "holding", "words", "git", "lock", "pair", "shop"} <= rules


@pytest.mark.parametrize("name", ["git:no-identity", "[git:no-identity]", "no-identity"])
def test_a_code_is_found_by_its_name(name: str) -> None:
    """As printed, with or without brackets, or without its rule where that is enough."""
    assert explain(name).name == "git:no-identity"


def test_a_misspelt_code_gets_the_nearest() -> None:
    """The remedy names what was meant."""
    with pytest.raises(Findings) as error:
        explain("waits:deadlok")
    assert error.value.findings[0].remedy == "did you mean `waits:deadlock`?"
