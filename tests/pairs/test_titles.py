"""What operations are called in a program."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from support import demo

_TITLE = re.compile(r"^\((?P<title>.+)\)\nN\d+ ", re.MULTILINE)


@pytest.mark.parametrize("name", [n for n in demo.names() if n[0] == "twin-turnmill"], ids=lambda n: "-".join(n[1:]))
def test_no_two_operations_of_a_channel_are_called_the_same(name: tuple[str, str, str]) -> None:
    """A restart, and an edit from the control, find their operation by its title."""
    for text in demo.demo(*name).texts.values():
        titles = Counter(match["title"] for match in _TITLE.finditer(text))
        assert titles
        assert max(titles.values()) == 1, titles.most_common(2)
