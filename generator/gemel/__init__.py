"""gemel writes, proves and looks after pairs of part programs for two-channel machines.

The folders of this package are the data flow, top to bottom; imports only point down.
See ``docs/architecture.md`` for the map.
"""

from importlib.metadata import PackageNotFoundError, version

try:
    __version__ = version("gemel")
except PackageNotFoundError:  # running from a source tree that was never installed
    __version__ = "0.0.0"
