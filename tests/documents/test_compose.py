"""YAML to placed values: places are exact, and what is not clean YAML is refused with its place."""

from __future__ import annotations

import pytest

from gemel.documents import PlacedFloat, PlacedInt, PlacedText, Strict, compose, place_of, validate
from gemel.findings import Finding, Findings


def faults(text: str) -> list[Finding]:
    with pytest.raises(Findings) as caught:
        compose(text, "f.yaml")
    return list(caught.value.findings)


def test_scalars_know_file_line_column_and_spelling() -> None:
    """Whole numbers, fractions, texts and quoted texts each keep their place."""
    value = compose('values:\n  length: 35\n  across: {size: 15.50, name: "7/8"}\n', "f.yaml").value["values"]
    assert isinstance(value["length"], PlacedInt)
    assert value["length"].place == ("values.length", "f.yaml", 2, 10, "35")
    assert isinstance(value["across"]["size"], PlacedFloat)
    assert value["across"]["size"].place == ("values.across.size", "f.yaml", 3, 17, "15.50")
    assert isinstance(value["across"]["name"], PlacedText)
    assert value["across"]["name"] == "7/8"


def test_keys_know_their_place_too() -> None:
    """A misspelt key is shown where it stands."""
    key = next(iter(compose("a:\n  longe: 1\n", "f.yaml").value["a"]))
    place = place_of(key)
    assert place is not None
    assert (place.line, place.column) == (2, 2)


@pytest.mark.parametrize(
    ("text", "name", "line", "column", "cause"),
    [
        ("a: {b: 1\n", "document:not-yaml", 2, 0, "not YAML"),
        ("a:\n\tb: 1\n", "document:not-yaml", 2, 0, "tab"),
        ("a: 1\nb: 2\na: 3\n", "document:duplicate-key", 3, 0, "stands twice"),
        ("a: yes\n", "document:word", 1, 3, "`yes`"),
        ("a: !!python/object:os.system x\n", "document:not-yaml", 1, 3, "tag"),
        ("a: !own x\n", "document:not-yaml", 1, 3, "tag"),
        ("", "document:not-yaml", 0, 0, "empty"),
        ("a: 1\n---\nb: 2\n", "document:not-yaml", 2, 0, "not YAML"),
        ("a: &x [*x]\n", "document:expands", 1, 3, "contain themselves"),
        ("b: &b {c: 1}\na:\n  <<: *b\n", "document:not-yaml", 3, 2, "merges"),
        ("? [a, b]\n: 1\n", "document:not-yaml", 1, 2, "single text"),
    ],
)
def test_unclean_documents_are_refused_with_their_place(
    text: str, name: str, line: int, column: int, cause: str
) -> None:
    """The fault, its line and column, and words a person understands."""
    finding = faults(text)[0]
    span = finding.labels[0].span
    assert finding.name == name
    assert (span.line, span.start) == (line, column)
    assert cause in finding.cause


def test_all_faults_of_a_document_come_in_one_run() -> None:
    """Two duplicate keys and an ambiguous word are three findings."""
    assert len(faults("a: 1\na: 2\nb: 1\nb: 2\nc: off\n")) == 3


def test_an_alias_bomb_ends_early() -> None:
    """Nine lines that describe a thousand million values are refused after a hundred thousand."""
    rows = ["a0: &a0 [x, x, x, x, x, x, x, x, x, x]"]
    rows += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 10)}]" for i in range(1, 9)]
    assert faults("\n".join(rows))[0].name == "document:expands"


def test_a_huge_file_is_refused_unread() -> None:
    """A hundred megabytes are not composed."""
    assert faults("a" * 1_000_001)[0].name == "document:too-large"


def test_quoted_words_are_texts() -> None:
    """`"yes"` in quotes is what it says."""
    assert compose('a: "yes"\nb: "12"\n', "f.yaml").value == {"a": "yes", "b": "12"}


class Inner(Strict):
    """Inner."""

    length: int
    note: str = ""


class Outer(Strict):
    """Outer."""

    inner: dict[str, Inner]


def test_schema_faults_have_place_text_and_nearest_name() -> None:
    """Unknown key, missing key and wrong kind come together, each at its place."""
    document = compose("inner:\n  a: {lenght: 3}\n  b: {length: long}\nother: 1\n", "f.yaml")
    with pytest.raises(Findings) as caught:
        validate(Outer, document)
    found = {(f.name, f.labels[0].span.line, f.labels[0].span.start): f for f in caught.value.findings}
    assert set(found) == {
        ("document:value", 2, 5),
        ("document:unknown-key", 2, 6),
        ("document:value", 3, 14),
        ("document:unknown-key", 4, 0),
    }
    assert "did you mean `length`?" in found["document:unknown-key", 2, 6].remedy
    assert "expected a whole number; given: `long`" in found["document:value", 3, 14].cause
