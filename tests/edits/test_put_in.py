"""A value is put into a YAML text where there was none, in the style of what stands there."""

from __future__ import annotations

import pytest

from gemel.edits.put_in import put_in
from gemel.findings import Findings

_PATH = ("operations", "mill", "cutting", "feed")


_TOP = "operations:\n  mill:"


@pytest.mark.parametrize(
    ("text", "after"),
    [
        (" {tool: t, cutting: {depth: 1}}\n", " {tool: t, cutting: {depth: 1, feed: 0.1}}\n"),
        (" {tool: t} # c\n", " {tool: t, cutting: {feed: 0.1}} # c\n"),
        (" {tool: t, cutting: {}}\n", " {tool: t, cutting: {feed: 0.1}}\n"),
        ("\n    tool: t # c\n  x: {a: 1}\n", "\n    cutting: {feed: 0.1}\n    tool: t # c\n  x: {a: 1}\n"),
        ("\n    cutting:\n      depth: 1\n", "\n    cutting:\n      feed: 0.1\n      depth: 1\n"),
    ],
)
def test_flow_stays_flow_and_block_stays_block(text: str, after: str) -> None:
    """What stands there stays to the character; the value joins it as a person would write it."""
    assert put_in(_TOP + text, "f.yaml", _PATH, "0.1") == _TOP + after


@pytest.mark.parametrize(
    ("text", "new", "code"),
    [
        ("operations:\n  mill: {cutting: {feed: 0.2}}\n", "0.1", "not-one-value"),
        ("operations:\n  mill: {cutting: fast}\n", "0.1", "not-one-value"),
        ("a: &a {depth: 1}\noperations:\n  mill: {cutting: *a}\n", "0.1", "not-one-value"),
        ("operations:\n  mill: {cutting: {depth: 1}}\n", "0.1, width: 3", "other-values"),
        ("operations:\n  mill: {cutting: {depth: 1}}\n", "{", "other-values"),
    ],
)
def test_what_would_change_more_is_refused(text: str, new: str, code: str) -> None:
    """A value that stands there, a text, a shared mapping, a spelling that brings more along: nothing is changed."""
    with pytest.raises(Findings) as caught:
        put_in(text, "f.yaml", _PATH, new)
    assert caught.value.findings[0].code == code
