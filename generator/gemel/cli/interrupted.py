"""A command that stopped because somebody asked it to."""

from __future__ import annotations

__all__ = ["Interrupted"]


class Interrupted(Exception):  # noqa: N818 # no error: it was asked for
    """Says how far the work came."""
