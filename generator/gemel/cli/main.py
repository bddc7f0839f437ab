"""Where every command begins and ends: one boundary turns what went wrong into a message and an exit status.

0: done, nothing to say. 1: findings in programs. 2: not usable as asked (usage, families, templates, machine files,
git, disk).
3: a fault of gemel, with a log. 130: interrupted.
"""

from __future__ import annotations

import sys

import typer

from gemel.cli import (
    bars,
    chart,
    check,
    compare,
    decide,
    edits,
    explain,
    intake,
    member_log,
    new,
    power,
    prove,
    release,
    review,
    schema,
    send,
    sheet,
    shop_status,
    time,
    tools,
    version,
    watch,
    why,
    write,
)
from gemel.cli.interrupted import Interrupted
from gemel.cli.screen import complain, say_findings
from gemel.cli.status import INTERRUPTED, OK, OUR_FAULT, UNUSABLE, status_of
from gemel.findings import Findings
from gemel.shop.garbage import look_seldom

__all__ = ["app", "main", "run"]

_EPILOG = """Examples:

  gemel new shop && cd shop && gemel write    a shop of one's own

  gemel check && gemel write --dry-run        what a new revision changes

  gemel why output/twin-turnmill/port-block-35/port-block-35.lower.nc:89

  gemel prove                                 every pair of the shop

  gemel intake /media/stick --machine twin-turnmill && gemel edits

Each command has a --help with examples. `gemel explain CODE` explains a
finding. --install-completion teaches your shell."""
_NOTHING_LOST = "interrupted; what was there before is as it was"

app = typer.Typer(
    name="gemel",
    help="Write, prove and look after the pair of programs that run side by side on a two-channel machine.",
    epilog=_EPILOG,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for command in (
    write,
    prove,
    time,
    chart,
    power,
    sheet,
    check,
    decide,
    why,
    intake,
    edits,
    review,
    compare,
    shop_status,
    watch,
    member_log,
    release,
    send,
    bars,
    tools,
    schema,
    new,
    explain,
    version,
):
    command.register(app)


for listed in app.registered_commands:
    # The list of commands has room for the first clause of what each does.
    clause = (listed.callback.__doc__ or "").partition("\n")[0].rstrip(".") if listed.callback else ""
    listed.short_help = clause.partition(":")[0]


def main() -> None:
    """The program `gemel`."""
    look_seldom()
    sys.exit(run(sys.argv[1:]))


def run(words: list[str]) -> int:
    """Carry out one command line; gives the exit status."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # A terminal that cannot show a character shows a question mark; it never ends the work.
            stream.reconfigure(errors="replace")
    try:
        status = typer.main.get_command(app).main(args=words, prog_name="gemel", standalone_mode=False)
    except Findings as error:
        say_findings(error.findings)
        return status_of(error.findings)
    except typer.TyperException as error:
        _say_usage(error)
        return UNUSABLE
    except OSError as error:
        complain(f"error: {_system(error)}")
        complain("  what was there before is as it was; when the cause is mended, run the same command again")
        return UNUSABLE
    except (KeyboardInterrupt, typer.Abort):
        complain(_NOTHING_LOST)
        return INTERRUPTED
    except Interrupted as error:
        complain(str(error))
        return INTERRUPTED
    except Exception as error:  # noqa: BLE001 # the boundary: whatever else comes here is a fault of ours
        return _our_fault(error, words)
    if status == INTERRUPTED:
        # Typer gives this for a KeyboardInterrupt that reaches it.
        complain(_NOTHING_LOST)
    return status if isinstance(status, int) else OK


def _say_usage(error: typer.TyperException) -> None:
    show = getattr(error, "show", None)
    if callable(show):
        show()
    else:
        complain(f"error: {error}")


def _system(error: OSError) -> str:
    said = (error.strerror or str(error) or type(error).__name__).lower()
    where = f"{error.filename}: " if error.filename else ""
    return f"{where}{said}"


def _our_fault(error: Exception, words: list[str]) -> int:
    from gemel.cli.log import write_log  # noqa: PLC0415 # needed only when something is wrong with gemel

    place = write_log(error, words)
    complain(f"error: this is a fault of gemel, not of your files: {type(error).__name__}: {error}")
    complain(f"  the log is in {place}; what was there before is as it was")
    return OUR_FAULT
