"""Pages from templates: HTML that stands alone, without network, and without scripts if need be.

Every value that a template prints is escaped; what is markup already (a drawing) says so by its type.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from jinja2 import Environment, PackageLoader, StrictUndefined

import gemel
from gemel.findings import printable

if TYPE_CHECKING:
    from markupsafe import Markup

__all__ = ["render"]


@lru_cache(maxsize=1)
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("gemel.reports", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_shown,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        auto_reload=False,
    )
    environment.filters["css"] = _css
    environment.globals["version"] = gemel.__version__
    return environment


def _css(value: object) -> str:
    """A text for a string in a style sheet: whatever could end the string or the sheet as an escape."""
    return "".join(
        c if (c.isalnum() and c.isascii()) or c in " ._-/" else f"\\{ord(c):x} " for c in printable(str(value))
    )


def _shown(value: object) -> object:
    """Texts of a user with control characters made visible; markup as it is."""
    if type(value) is str or (isinstance(value, str) and not hasattr(value, "__html__")):
        return printable(value)
    return value


def render(template: str, /, **values: object) -> str:
    """The page of a template, `sheet` for `sheet.html.j2`; the same values give the same bytes."""
    return _environment().get_template(f"{template}.html.j2").render(values)


def fragment(template: str, /, **values: object) -> Markup:
    """A piece of a page, for use in another one."""
    from markupsafe import Markup  # noqa: PLC0415 # comes with jinja2, loaded by now

    return Markup(render(template, **values))  # noqa: S704 # the template has escaped every value
