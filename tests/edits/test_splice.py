"""One value of a YAML text is changed, and not a character more."""

from __future__ import annotations

import difflib
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gemel.documents import PlacedFloat, PlacedInt, compose
from gemel.edits.splice import splice
from gemel.findings import Findings
from gemel.numbers import Source, spelled_like

_FAMILIES = sorted((Path(__file__).parents[2] / "families").glob("*.yaml"))
_TEXT = """\
# A part.   Comments stay.
values:
  across: {size:  15, tolerance: h9}   # two blanks before 15
  feed: 0.20
  quoted: "20"
  point: .5
  base: &base {depth: 2}
  twin: *base
  width: 3
  empty:
  many: |
    two
    lines
"""


def _source(text: str, needle: str, name: str = "values.x") -> Source:
    """The scalar that stands at the first place of `needle`."""
    at = text.index(needle)
    line = text.count("\n", 0, at)
    return Source(name, "f.yaml", line + 1, at - (text.rfind("\n", 0, at) + 1), needle.strip('"'))


def _code(text: str, at: Source, new: str) -> str:
    with pytest.raises(Findings) as caught:
        splice(text, at, new)
    [finding] = caught.value.findings
    return finding.code


@pytest.mark.parametrize(
    ("needle", "new", "line"),
    [
        ("15, tol", "15.5", "  across: {size:  15.5, tolerance: h9}   # two blanks before 15"),
        ("0.20", "0.15", "  feed: 0.15"),
        ('"20"', "21", '  quoted: "21"'),
        (".5", ".45", "  point: .45"),
        ("h9", "h8", "  across: {size:  15, tolerance: h8}   # two blanks before 15"),
    ],
)
def test_only_the_characters_of_the_value_change(needle: str, new: str, line: str) -> None:
    """Comment, blanks, quotes and order stand as they stood; one line differs, by that value."""
    at = _source(_TEXT, needle)
    at = at._replace(text=needle.partition(",")[0].strip('"'))
    after = splice(_TEXT, at, new)
    changed = [d for d in difflib.ndiff(_TEXT.splitlines(), after.splitlines()) if d[0] in "+-"]
    assert changed[1] == f"+ {line}"
    assert len(changed) == 2


@pytest.mark.parametrize(
    ("needle", "text", "new", "code"),
    [
        ("2}", "2", "3", "shared-value"),
        ("0.20", "0.3", "0.1", "value-gone"),
        ("|", "|", "one", "not-one-value"),
        ("0.20", "0.20", "0.1, x: 2", "other-values"),
        ("0.20", "0.20", "0.1 # note", "other-values"),
        ("15, tol", "15", "15, size: 16", "other-values"),
        ("0.20", "0.20", "0,15\n  depth: 9", "other-values"),
        ("0.20", "0.20", "0.20", "other-values"),
        ("feed", "feed", "0.20", "value-gone"),
    ],
)
def test_what_would_change_more_is_refused(needle: str, text: str, new: str, code: str) -> None:
    """Anchored, merged, moved, of several lines, or a spelling that smuggles another value in: nothing is changed."""
    assert _code(_TEXT, _source(_TEXT, needle)._replace(text=text), new) == code


def test_a_value_beside_a_merge_is_refused() -> None:
    """What comes in by `<<` may be shared with anything; the mapping is left alone."""
    text = "base: &base {depth: 2}\nown: {<<: *base, width: 3}\n"
    assert _code(text, _source(text, "3}")._replace(text="3"), "4") == "shared-value"


def test_an_empty_value_is_asked_about() -> None:
    """Where nothing stands nothing can be replaced."""
    place = compose("values:\n  empty:\n  x: 1\n", "f.yaml").places["values", "empty"]
    at = Source("values.empty", "f.yaml", place.line, place.start, "")
    assert _code("values:\n  empty:\n  x: 1\n", at, "3") in {"empty-value", "value-gone"}


@pytest.mark.parametrize("path", _FAMILIES, ids=lambda p: p.stem)
def test_every_number_of_the_demo_families_can_be_changed_alone(path: Path) -> None:
    """For numbers all over a family the changed text differs in one line, and back again gives the same bytes."""
    text = path.read_text()
    leaves = _leaves(compose(text, path.name).value)
    numbers = [v.place for v in leaves if isinstance(v, PlacedFloat | PlacedInt)]
    assert len(numbers) > 20
    for place in numbers[:: max(len(numbers) // 5, 1)]:
        new = spelled_like(float(place.text) + 0.5, place.text)
        after = splice(text, place, new)
        assert sum(a != b for a, b in zip(text.split("\n"), after.split("\n"), strict=True)) == 1
        assert splice(after, place._replace(text=new), place.text) == text


def _leaves(value: object) -> list[object]:
    if isinstance(value, dict):
        return [leaf for item in value.values() for leaf in _leaves(item)]
    if isinstance(value, list):
        return [leaf for item in value for leaf in _leaves(item)]
    return [value] if hasattr(value, "place") else []


@pytest.mark.parametrize(
    ("value", "old", "spelled"),
    [
        (0.15, "0.20", "0.15"),
        (0.2, "0.25", "0.20"),
        (24.5, "25", "24.5"),
        (24, "25", "24"),
        (24, "25.", "24."),
        (0.45, ".5", ".45"),
        (-0.45, "-.5", "-.45"),
        (3, "+2", "+3"),
        (1e-05, "0.001", "0.00001"),
        (1200, "1000", "1200"),
    ],
)
def test_a_number_keeps_the_spelling_of_the_one_before(value: float, old: str, spelled: str) -> None:
    """Decimals are not lost, a bare point or sign stays, and no exponent appears."""
    assert spelled_like(value, old) == spelled


@given(st.decimals(-9999, 9999, places=4), st.sampled_from(["0.20", "5", ".5", "7.", "+1.0"]))
def test_the_spelling_means_the_number(value: Decimal, old: str) -> None:
    """Whatever the old spelling, the new one reads as exactly the wanted number."""
    assert Decimal(spelled_like(float(value), old)) == value
