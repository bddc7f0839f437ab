"""How often Python looks for cycles of dead objects.

Nearly everything that gemel makes dies by itself; a search looks at every number of every program that lives, again and
again, and took 15 percent of a writing at the interpreter's own setting. Cycles (of the templates' engine) are few and
small, so a rare search keeps memory as flat.
"""

from __future__ import annotations

import gc

__all__ = ["look_seldom"]

_OBJECTS = 50_000


def look_seldom() -> None:
    """Look for dead cycles when that many objects more have come than gone; for the whole process."""
    gc.set_threshold(_OBJECTS, 10, 10)
