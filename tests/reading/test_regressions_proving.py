"""Faults of reading that proofs have brought to light."""

from __future__ import annotations

from support.channels import codes, run


def test_missing_feed_is_said_once_until_a_feed_comes() -> None:
    """A change of the feed mode brings no feed, so that it is no reason to say it again; an F word is."""
    assert codes(run("G01 X10.\nG98\nG01 X11.\nG99\nG01 X12.\nM30\n")).count("no-feed") == 1
    assert codes(run("G01 X10.\nF0.1\nG98\nG01 X11.\nM30\n")).count("no-feed") == 2
