"""`gemel prove`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import complete, options
from gemel.cli.progress import progress
from gemel.cli.screen import complain_of_no_pair, say, say_findings, say_styled, width

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.cutting.facts import CuttingFacts
    from gemel.history import PairName
    from gemel.shop.layout import Shop
    from gemel.shop.prove_files import Proved

__all__ = ["register"]

_EPILOG = """Examples:

  gemel prove                            every pair of the shop

  gemel prove port-block/35 valve-stem   pairs in output/

  gemel prove a.upper.nc a.lower.nc --machine twin-turnmill

  gemel prove a.upper.nc a.lower.nc subprograms.nc --format json

  gemel prove a.upper.nc a.lower.nc --member port-block/20   power too

"Proved" means that the checks found nothing, never that a pair is safe to run unattended.
Exit status: 0 pass, 1 errors found, 2 the input could not be used, 3 a fault of gemel."""


_STYLES = {
    "error": "bold red",
    "warning": "yellow",
    "note": "cyan",
    "head": "bold",
    "mark": "bold",
    "pass": "green",
    "fail": "bold red",
}


_Files = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[FAMILY[/MEMBER]... | UPPER LOWER [SUBPROGRAMS]...]",
        help="Pairs in output/; or one program for each channel, in the order of the machine file. All when left out.",
    ),
]
_Machine = Annotated[str, options.machine("The machine; needed for files where the shop has several.")]
_Member = Annotated[
    str,
    typer.Option(
        "--member",
        metavar="FAMILY/MEMBER",
        help="Whose programs the files are: then power and torque are checked for its material and tools.",
        autocompletion=complete.families,
    ),
]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(prove)


def prove(
    files: _Files = None, machine: _Machine = "", member: _Member = "", form: options.FormatOption = options.Format.TEXT
) -> int:
    """Prove pairs from their texts: can they hang, meet in one zone, drop the part, feed without a feed."""
    from gemel.findings import Findings  # noqa: PLC0415 # needed by this function alone
    from gemel.shop.layout import Shop, find_shop, template_folder  # noqa: PLC0415 # heavy
    from gemel.shop.prove_files import machine_of, only_machine, other_machines, prove_files  # noqa: PLC0415 # heavy

    if not files or not any(_is_file(word) for word in files):
        if member:
            raise typer.BadParameter("`--member` says whose programs the files are, and no file is named")
        return _stored_pairs(find_shop(Path.cwd()), files or (), machine, form)
    try:
        shop = find_shop(Path.cwd())
    except Findings:
        # Outside a shop the machines that gemel carries will do.
        shop = Shop(template_folder().parent)
    try:
        name = machine or only_machine(shop)
        others = other_machines(shop, name)
        proved = prove_files(machine_of(shop, name), files, _cuts(shop, name, member), others)
    except Findings as error:
        say_findings(error.findings)
        return 2
    _say(proved, form)
    return 0 if proved.verdict.passes else 1


def _is_file(word: str) -> bool:
    """Whether a word means a program: something is there, or it looks like the name of one."""
    return Path(word).exists() or bool(Path(word).suffix and not word.endswith(".yaml"))


def _cuts(shop: Shop, machine: str, member: str) -> CuttingFacts | None:
    """What is known of the cuts of a member; nothing without one."""
    if not member:
        return None
    from gemel.shop.known_cuts import known_cuts  # noqa: PLC0415 # heavy

    family, _, name = member.removeprefix("families/").removesuffix(".yaml").partition("/")
    return known_cuts(shop, machine, family, name)


def _say(proved: Proved, form: options.Format) -> None:
    from gemel.proving import as_json, as_rows  # noqa: PLC0415 # heavy

    if form is options.Format.JSON:
        say(as_json(proved.verdict))
        return
    for text, kind in as_rows(proved.verdict, proved.programs, width()):
        say_styled(((text, _STYLES.get(kind, "")),))


def _stored_pairs(shop: Shop, words: Sequence[str], machine: str, form: options.Format) -> int:
    """A line for each pair, all there is to say of a single one; or one object with a verdict under each name."""
    from gemel.proving import as_object, in_brief  # noqa: PLC0415 # heavy
    from gemel.shop.pool import in_order  # noqa: PLC0415 # heavy
    from gemel.shop.prove_files import Proved, prove_stored  # noqa: PLC0415 # heavy
    from gemel.shop.time_pairs import named_pairs  # noqa: PLC0415 # heavy

    names = named_pairs(shop, words, machine)
    objects, unusable, failed = {}, 0, 0
    widths = max((len(n.machine) for n in names), default=0), max((len(_title(n)) for n in names), default=0)
    with progress(len(names)) as line:
        tasks = [(str(shop.root), name) for name in names]
        for name, outcome in zip(names, in_order(prove_stored, tasks, len(tasks)), strict=True):
            line.clear()
            if not isinstance(outcome, Proved):
                unusable += 1
                say_findings(outcome)
            elif form is options.Format.JSON:
                objects[f"{name.machine}/{name.stem}"] = as_object(outcome.verdict)
                failed += not outcome.verdict.passes
            else:
                failed += not outcome.verdict.passes
                row = f"{name.machine:<{widths[0]}}  {_title(name):<{widths[1]}}  {in_brief(outcome.verdict)}"
                say_styled(((row, "" if outcome.verdict.passes else "bold red"),))
                if words and len(names) == 1:
                    _say(outcome, form)
            line.step(name.stem)
    if form is options.Format.JSON:
        import json  # noqa: PLC0415 # needed by this branch alone

        say(json.dumps(objects, indent=2, ensure_ascii=False))
    if not names:
        complain_of_no_pair(machine)
    return 2 if unusable else int(failed > 0)


def _title(name: PairName) -> str:
    return f"{name.family}/{name.member}"
