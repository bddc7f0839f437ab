"""The exported schemas and the files in the repository are in step."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gemel.findings import Findings
from gemel.shop.schema import KINDS, schema

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_the_stored_schema_is_what_gemel_gives(kind: str) -> None:
    """`gemel schema KIND --out docs/schema/KIND.json` would change nothing."""
    assert (ROOT / f"docs/schema/{kind}.json").read_text(encoding="utf-8") == schema(kind)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_schema_refuses_unknown_keys_and_describes_the_known(kind: str) -> None:
    """Editors can warn at once, and show what a key means."""
    value = json.loads(schema(kind))
    assert value["additionalProperties"] is False
    assert value["description"]
    assert set(value["required"]) <= set(value["properties"])


def test_the_demo_files_name_their_schema() -> None:
    """Every family and machine file begins with the line by which editors find the schema, and it is there."""
    files = [*ROOT.glob("families/*.yaml"), *ROOT.glob("templates/*/machine.yaml"), *ROOT.glob("templates/*.yaml")]
    files = [file for file in files if not file.name.endswith(".edits.yaml")]
    assert files
    for file in files:
        first = file.read_text(encoding="utf-8").splitlines()[0]
        start, _, path = first.partition("$schema=")
        assert start == "# yaml-language-server: ", file
        assert (file.parent / path).resolve().is_file(), file


def test_an_unknown_kind_gets_the_nearest() -> None:
    """The remedy names what was meant."""
    with pytest.raises(Findings) as error:
        schema("famly")
    assert error.value.findings[0].remedy == "did you mean `family`?"
