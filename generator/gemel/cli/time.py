"""`gemel time`."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from gemel.cli import complete, options
from gemel.cli.progress import progress
from gemel.cli.screen import complain_of_no_pair, say, say_findings, say_styled, say_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.history.record import PairName
    from gemel.shop.layout import Shop
    from gemel.timing import Timeline

__all__ = ["register"]

_EPILOG = """Examples:

  gemel time                      every pair of the shop, a line each

  gemel time port-block/35        one pair, operation by operation

  gemel time port-block -o 0.5    a whole family at half the feed

  gemel time a.upper.nc a.lower.nc --machine twin-turnmill --format json

Times are read from the programs and the machine file: rapids with acceleration, feeds, spindle starts, tool changes,
clamps. A block whose duration nobody can know from them is named, and the time is said to be "at least".
Exit status: 0 done, 1 a pair hangs and has no cycle time, 2 the input could not be used, 3 a fault of gemel."""

_PAIR_HEAD = ("machine", "pair", "seconds", "an hour")


_Words = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[FAMILY[/MEMBER]... | UPPER LOWER [SUBPROGRAMS]...]",
        help="Pairs in output/; or one program for each channel, in the order of the machine file. All when left out.",
        autocompletion=complete.families,
    ),
]
_Machine = Annotated[str, options.machine("The machine; needed for files where the shop has several.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("time", epilog=_EPILOG)(time)


def time(
    words: _Words = None,
    machine: _Machine = "",
    override: options.OverrideOption = 100.0,
    form: options.FormatOption = options.Format.TEXT,
) -> int:
    """Say what a part takes: each operation, who waits for whom, what decides, and what a second saved would bring."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy

    if words and any(_is_file(word) for word in words):
        return _files(words, machine, override / 100, form)
    from gemel.shop.time_pairs import named_pairs  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    names = named_pairs(shop, words or (), machine)
    if not names:
        complain_of_no_pair(machine)
    return _pairs(shop, names, override / 100, form)


def _is_file(word: str) -> bool:
    """Whether a word means a program: it is there, or it looks like the name of one."""
    return Path(word).is_file() or bool(Path(word).suffix and not word.endswith(".yaml"))


def _files(words: Sequence[str], machine: str, override: float, form: options.Format) -> int:
    from gemel.findings import Findings  # noqa: PLC0415 # needed by this function alone
    from gemel.shop.layout import Shop, find_shop, template_folder  # noqa: PLC0415 # heavy
    from gemel.shop.prove_files import machine_of, only_machine  # noqa: PLC0415 # heavy
    from gemel.shop.time_pairs import time_files  # noqa: PLC0415 # heavy
    from gemel.timing import as_json  # noqa: PLC0415 # heavy

    try:
        shop = find_shop(Path.cwd())
    except Findings:
        # Outside a shop the machines that gemel carries will do.
        shop = Shop(template_folder().parent)
    try:
        timeline = time_files(machine_of(shop, machine or only_machine(shop)), words, override)
    except Findings as error:
        say_findings(error.findings)
        return 2
    if form is options.Format.JSON:
        say(as_json(timeline))
    else:
        _say(" ".join(words), timeline)
    return int(bool(timeline.stuck))


def _pairs(shop: Shop, names: Sequence[PairName], override: float, form: options.Format) -> int:
    from gemel.shop.time_pairs import time_all  # noqa: PLC0415 # heavy
    from gemel.timing import Timeline, as_object  # noqa: PLC0415 # heavy

    timed: list[tuple[PairName, Timeline]] = []
    unusable = 0
    with progress(len(names)) as line:
        for name, outcome in time_all(shop, names, override):
            line.clear()
            if isinstance(outcome, Timeline):
                timed.append((name, outcome))
            else:
                unusable += 1
                say_findings(outcome)
            line.step(name.stem)
    if form is options.Format.JSON:
        objects: dict[str, Any] = {f"{name.machine}/{name.stem}": as_object(t) for name, t in timed}
        say(json.dumps(objects, indent=2, ensure_ascii=False))
    elif len(timed) == 1 and len(names) == 1:
        _say(f"{timed[0][0].family}/{timed[0][0].member} on {timed[0][0].machine}", timed[0][1])
    elif timed:
        _say_overview(timed)
    return 2 if unusable else int(any(t.stuck for _, t in timed))


def _say_overview(timed: Sequence[tuple[PairName, Timeline]]) -> None:
    """One line a pair; channels busy, and the mark at which most is lost."""
    from gemel.timing import overview_row  # noqa: PLC0415 # heavy

    head = (*_PAIR_HEAD, "channels busy", "most is lost", "not known")
    say_table(head, ((name.machine, f"{name.family}/{name.member}", *overview_row(t)) for name, t in timed))


def _say(title: str, timeline: Timeline) -> None:
    """One pair, with all that is known of it."""
    from gemel.timing import text  # noqa: PLC0415 # heavy

    said = text.headline(timeline)
    say_styled(((f"{title}: ", ""), (said, "bold red" if timeline.stuck else "bold")))
    say()
    say_table(text.OPERATION_HEAD, text.operation_rows(timeline))
    for head, rows in ((text.WAIT_HEAD, text.wait_rows(timeline)), (text.LOAD_HEAD, text.load_rows(timeline))):
        listed = list(rows)
        if listed:
            say()
            say_table(head, listed)
    path = list(text.critical_rows(timeline))
    if path:
        say()
        say_table(text.CRITICAL_HEAD, path)
    for note in text.notes(timeline):
        say_styled(((note, "yellow"),))
