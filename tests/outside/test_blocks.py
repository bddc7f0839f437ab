"""Rules of numbers and blocks, held against the bare text of every written program.

NISTIR 6556 (section 3.3: order of a line, line numbers, numbers, repeats; 3.3.4: comments; 3.6.1: end) and ISO 6983-1
for the letters that it lacks; the machine file's own rules on top. Only the text and the machine file are looked at.
"""

from __future__ import annotations

import re
from collections import Counter
from typing import TYPE_CHECKING, Any

import pytest

from support.demo import IDS, demo, names
from support.outside import Reader, facts, meanings

if TYPE_CHECKING:
    from collections.abc import Iterator

pytestmark = pytest.mark.parametrize("name", names(), ids=IDS)

WORD = re.compile(r"([A-Z])([^A-Z ]*)")
NUMBER = re.compile(r"-?(?:[0-9]+\.?[0-9]*|\.[0-9]+)\Z")
DIMENSIONS = "XYZUVWABCHIJKR"
LETTERS = frozenset("ABCDFGHIJKLMNPQRSTUVWXYZ")


def _rows(name: tuple[str, str, str]) -> Iterator[tuple[str, str]]:
    """Every line's code and comment."""
    for channel, text in demo(*name).texts.items():
        reader = Reader(name[0], channel)
        for row in re.split(r"\r\n|\n", text):
            code, comment = reader.split(row)
            yield code.rstrip(), comment


def _blocks(name: tuple[str, str, str]) -> Iterator[list[tuple[str, str]]]:
    """Letter and number of each word of each block, as spelled; wrapper and program number left out."""
    for code, _ in _rows(name):
        if code.strip("%") and code[0] not in "O:":
            yield WORD.findall(code)


def _machine(name: tuple[str, str, str]) -> dict[str, Any]:
    return facts(name[0])


def test_numbers_are_plain_decimals(name: tuple[str, str, str]) -> None:
    """At most one point, at least one digit, no exponent, no needless sign, no minus zero (NISTIR 6556, 3.3.2.1)."""
    for words in _blocks(name):
        for letter, number in words:
            assert NUMBER.match(number), (letter, number)
            assert float(number) != 0 or not number.startswith("-"), (letter, number)


def test_dimensions_carry_a_point_and_no_more_digits_than_are_read(name: tuple[str, str, str]) -> None:
    """A dimension without a point is read in thousandths by many controls; counts never carry one."""
    rules = _machine(name)["numbers"]
    for words in _blocks(name):
        for letter, number in words:
            if letter in DIMENSIONS and float(number):
                assert "." in number, words
            if letter in "NGMT" or letter in rules["without_point"]:
                assert "." not in number, words
            assert len(number.partition(".")[2]) <= rules["decimals_read"], words


def test_block_numbers_are_up_to_five_digits_at_the_head(name: tuple[str, str, str]) -> None:
    """N with 1 to 5 digits and no sign, first in the line (NISTIR 6556, 3.3.1)."""
    for words in _blocks(name):
        places = [place for place, (letter, _) in enumerate(words) if letter == "N"]
        assert places in ([], [0]), words
        assert all(re.fullmatch(r"[0-9]{1,5}", words[place][1]) for place in places)


def test_no_letter_stands_twice_and_no_group_speaks_twice(name: tuple[str, str, str]) -> None:
    """Any letter but G and M once; one word of a modal group; at most four M words (NISTIR 6556, 3.3.5)."""
    groups = [frozenset(_key(word) for word in group) for group in _machine(name)["codes"]["groups"]]
    for words in _blocks(name):
        count = Counter(letter for letter, _ in words)
        assert all(n == 1 for letter, n in count.items() if letter not in "GM"), words
        assert count["M"] <= 4, words
        codes = {_key(letter + number) for letter, number in words if letter in "GM"}
        assert all(len(codes & group) <= 1 for group in groups), words
        assert set(count) <= LETTERS, words


def _key(word: str) -> str:
    return f"{word[0]}{float(word[1:]):g}"


def test_lines_are_short_enough_and_of_allowed_characters(name: tuple[str, str, str]) -> None:
    """The longest block and the characters are the machine file's; 256 is the most anywhere (NISTIR 6556, 3.3)."""
    lines = _machine(name)["lines"]
    for text in demo(*name).texts.values():
        rows = text.split(lines["end"])
        assert rows[-1] == ""
        assert all(0 < len(row) <= min(lines["longest"], 256) for row in rows[:-1])
        assert set(text.replace(lines["end"], "")) <= set(lines["characters"]) | set(lines["comment"].get("start", ""))


def test_comments_are_closed_and_hold_no_other(name: tuple[str, str, str]) -> None:
    """From `(` to the next `)` in the line, none inside another (NISTIR 6556, 3.3.4); the same for other marks."""
    form = _machine(name)["lines"]["comment"]
    for code, comment in _rows(name):
        assert not set(comment) & set("()")
        assert form["start"].strip() not in code
        assert not form.get("end") or form["end"] not in code


def test_nothing_but_the_wrapper_stands_behind_the_end(name: tuple[str, str, str]) -> None:
    """The end code is the last block; a wrapper that opens the file closes it (NISTIR 6556, 3.1 and 3.6.1)."""
    machine = _machine(name)
    ends = {key for key, path in meanings(name[0]).items() if path in {"program.end", "program.repeat"}}
    wrapper = machine["lines"].get("wrapper") or {}
    for text in demo(*name).texts.values():
        rows = text.split(machine["lines"]["end"])[:-1]
        if wrapper.get("start"):
            assert (rows[0], rows[-1]) == (wrapper["start"], wrapper["end"])
            rows = rows[1:-1]
        found = [row for row in rows if {_key(a + b) for a, b in WORD.findall(row) if a == "M" and b.isdigit()} & ends]
        assert found == rows[-1:]
