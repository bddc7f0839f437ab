"""How long the texts of all demo pairs take, once loaded, against what Jinja2 alone needs for the same texts.

Ours: resolve, toolpaths, stages, rendering twice (plain, and with the origin of every word), checks, stamps.
Against: one template that prints the same texts word by word from ready values: codes and comments as they are, the
others from letter and number, rounded and with zeros dropped by Jinja2.
"""

from __future__ import annotations

import re
from pathlib import Path
from typing import NamedTuple

from benchmarks.side_by_side import HEAD, Figure, compare, work_s
from jinja2 import Environment

from gemel.shop.garbage import look_seldom
from gemel.shop.layout import Shop
from gemel.shop.pipeline import render, tasks
from gemel.shop.targets import Target

ROOT = Path(__file__).parents[1]
_NUMBER = re.compile(r"([A-FH-LO-Z])(-?\d+\.\d*)")
_TEMPLATE = """\
{% for line in lines -%}
{% for word in line %}{% if not loop.first %} {% endif %}{{ word.letter }}\
{% if word.value is none %}{{ word.text }}{% else %}{{ ("%.3f"|format(word.value)).rstrip("0") }}{% endif %}\
{% endfor %}
{% endfor -%}
"""


class _Word(NamedTuple):
    letter: str
    text: str
    value: float | None = None


def _words(line: str) -> list[_Word]:
    """The words of a line, numbers apart from their letters; a comment is one."""
    if line.startswith("("):
        return [_Word("", line)]
    return [_word(text) for text in line.split(" ")]


def _word(text: str) -> _Word:
    """Letter and number; a word from a body posted elsewhere, with other zeros, stays as it is."""
    match = _NUMBER.fullmatch(text)
    if match is None or f"{float(match[2]):.3f}".rstrip("0") != match[2]:
        return _Word("", text)
    return _Word(match[1], "", float(match[2]))


def measure() -> Figure:
    """All demo pairs; compiling templates and reading files are outside of both."""
    look_seldom()
    shop = Shop(ROOT)
    families = sorted(path.stem for path in (ROOT / "families").glob("*.yaml") if not path.stem.endswith(".edits"))
    work = [task for family in families for task in tasks(shop, Target(family, None), None, prove=False)]
    texts = [data.decode("ascii") for task in work for data in render(task).texts.values()]
    programs = [[_words(line) for line in text.splitlines()] for text in texts]
    template = Environment(keep_trailing_newline=True).from_string(_TEMPLATE)  # noqa: S701 # no markup
    assert [template.render(lines=lines) for lines in programs] == texts
    return compare(
        (f"write {len(work)} pairs, {sum(map(len, programs))} blocks", "Jinja2, the same words from values"),
        lambda: [render(task) for task in work],
        lambda: [template.render(lines=lines) for lines in programs],
        goal=4.0,
        clock=work_s,
    )


if __name__ == "__main__":
    print(HEAD, measure().row(), sep="\n")
