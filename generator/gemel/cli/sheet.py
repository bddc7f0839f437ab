"""`gemel sheet`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from gemel.cli import options
from gemel.cli.progress import progress
from gemel.cli.screen import say, say_findings, say_styled
from gemel.cli.status import status_of

if TYPE_CHECKING:
    from gemel.findings import Finding

__all__ = ["register"]

_EPILOG = """Examples:

  gemel sheet                 the whole shop, into sheets/

  gemel sheet port-block/35   one pair; the others stay as they are

  gemel sheet valve-stem --to /media/stick/sheets --no-pdf

Begin with sheets/index.html. Sheets are made from the families as they are now and say their stamp;
there is no sheet of a pair that does not pass the proof.
Exit status: 0 done, 1 findings, 2 not usable as asked, 3 a fault of gemel."""

_Families = Annotated[list[str] | None, options.pairs("Whose sheets; everything when left out.")]
_To = Annotated[Path | None, typer.Option("--to", metavar="DIR", help="Where they go; `sheets/` of the shop.")]
_Machine = Annotated[str, options.machine("For this machine instead of the family's own.")]
_NoPdf = Annotated[bool, typer.Option("--no-pdf", help="Pages only.")]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(sheet)


def sheet(families: _Families = None, *, to: _To = None, machine: _Machine = "", no_pdf: _NoPdf = False) -> int:
    """Make setup sheets, time charts and tool plans: what goes to the machine with the programs."""
    from gemel.shop.layout import find_shop, sources_of  # noqa: PLC0415 # heavy
    from gemel.shop.sheets import SheetOrder, prepare_sheets  # noqa: PLC0415 # heavy

    shop = find_shop(Path.cwd())
    folder = Path.cwd() / to if to is not None else shop.root / "sheets"
    run = prepare_sheets(shop, SheetOrder(tuple(families or ()), machine or None, folder, pdf=not no_pdf))
    findings: list[Finding] = list(run.findings)
    done = 0
    with progress(run.total) as line:
        for made in run.made():
            findings.extend(made.findings)
            line.clear()
            if made.about is None:
                say_styled((("refused   ", "red"), (made.name, "bold")))
            else:
                done += 1
                say_styled((("made      ", "green"), (made.name, "bold"), (f"  {next(iter(made.files))}", "dim")))
            line.step(made.name)
    files = 0
    if run.total:
        files, remarked = run.store()
        findings.extend(remarked)
    if findings:
        say_findings(findings, sources_of(shop, findings))
    if run.total:
        pairs = "pair" if run.total == 1 else "pairs"
        say(f"{done} of {run.total} {pairs}; {files} files in {_shown(folder)}, begin with index.html")
    else:
        say("nothing was made; the folder is as it was")
    return status_of(findings)


def _shown(folder: Path) -> str:
    """The folder as short as it can be said from here."""
    try:
        return folder.relative_to(Path.cwd()).as_posix() or "."
    except ValueError:
        return str(folder)
