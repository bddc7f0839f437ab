"""The log of a fault of gemel itself."""

from __future__ import annotations

import os
import platform
import sys
import tempfile
import traceback
from pathlib import Path

from gemel import __version__

__all__ = ["write_log"]


def write_log(error: Exception, words: list[str]) -> str:
    """Where the log was written: in the shop's `.gemel/`, else in the system's temporary folder."""
    text = "".join(
        [
            f"gemel {__version__}, Python {platform.python_version()}, {platform.platform()}\n",
            f"command: {' '.join(words)}\n\n",
            *traceback.format_exception(error),
        ]
    )
    for folder in (_shop_folder(), Path(tempfile.gettempdir())):
        try:
            if folder is None:
                continue
            folder.mkdir(exist_ok=True)
            path = folder / f"gemel-fault-{os.getpid()}.log"
            path.write_text(text, encoding="utf-8")
        except OSError:
            continue
        return str(path)
    sys.stderr.write(text)
    return "the lines above"


def _shop_folder() -> Path | None:
    here = Path.cwd()
    for folder in (here, *here.parents):
        if (folder / "families").is_dir() and (folder / "templates").is_dir():
            return folder / ".gemel"
    return None
