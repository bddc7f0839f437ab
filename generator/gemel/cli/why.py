"""`gemel why`."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import options
from gemel.cli.screen import say, say_block

if TYPE_CHECKING:
    from gemel.shop.why import Why
    from gemel.writing import WordReason

__all__ = ["register"]

_EPILOG = """Examples:

  gemel why output/twin-turnmill/port-block-20/port-block-20.upper.nc:42

  gemel why output/twin-turnmill/port-block-20/port-block-20.upper.nc:42:7"""

_Place = Annotated[str, typer.Argument(metavar="FILE:LINE[:COLUMN]", help="A block of a program, or one word of it.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(why)


def why(place: _Place, form: options.FormatOption = options.Format.TEXT) -> int:
    """Explain every word of a block: value, formula over the YAML, file and line of each."""
    from gemel.shop.why import as_json  # noqa: PLC0415 # heavy
    from gemel.shop.why import why as explain  # noqa: PLC0415 # heavy

    answer = explain(place)
    if form is options.Format.JSON:
        say(as_json(answer))
    else:
        _say(answer)
    return 0


def _say(answer: Why) -> None:
    say_block(f"{answer.file}:{answer.line}: {answer.block}")
    for kept in answer.kept:
        say_block(f"  {kept}")
    if not answer.words and not answer.kept:
        say("  nothing is known of this place")
    told = ("", -1)
    for word in answer.words:
        where = (word.address.operation, word.address.stage)
        if where != told and any(where):
            say(f"  stage {word.address.stage}" + (f", operation {where[0]}" if where[0] else ""))
        told = where
        _say_word(word)


def _say_word(word: WordReason) -> None:
    say_block(f"    {word.word}")
    if word.value is not None:
        say_block(f"        {word.value:.6g} = {word.formula}")
        for leaf in word.leaves:
            derived = f" = {leaf.formula}" if leaf.formula else ""
            say_block(f"        {leaf.name} = {leaf.value:.6g}{derived}  ({leaf.where})")
    elif word.copied:
        say_block(f"        from {word.copied}")
    if word.template:
        say_block(f"        by {word.template}")
