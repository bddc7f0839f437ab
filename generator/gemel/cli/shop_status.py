"""`gemel status`."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from gemel.cli import options
from gemel.cli.screen import say, say_findings, say_table
from gemel.cli.status import UNUSABLE, status_of

if TYPE_CHECKING:
    import typer

    from gemel.shop.status import PairStatus, ShopStatus

__all__ = ["register"]

_EPILOG = """Examples:

  gemel status

  gemel status --format json

  gemel status > /dev/null || echo "somebody is needed"

Exit status: 0 every pair is current, proved and without undecided edits, and every copy is recognised; 1 something
needs somebody; 2 the shop or git cannot be read; 3 a fault of gemel. A missing release alone does not change it.
"Proved" means that the checks found nothing, never that a pair is safe to run unattended."""

_MOST_NAMED = 4
_HEAD = ("pair", "program", "revision", "state", "at the control", "proof", "release", "cycle", "last intake")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(epilog=_EPILOG)(status)


def status(form: options.FormatOption = options.Format.TEXT) -> int:
    """Show every pair of the shop: current or stale, edited at which control, proved, released, cycle time."""
    from gemel.shop.layout import find_shop  # noqa: PLC0415 # heavy
    from gemel.shop.status import status_of_shop  # noqa: PLC0415 # heavy

    found = status_of_shop(find_shop(Path.cwd()))
    if form is options.Format.JSON:
        _say_json(found)
    else:
        _say(found)
    unusable = status_of(found.findings) == UNUSABLE
    return UNUSABLE if unusable else int(found.needs or status_of(found.findings))


def _say(found: ShopStatus) -> None:
    machines = {row.pair.machine for row in found.pairs}
    head = _HEAD if len(machines) == 1 else ("machine", *_HEAD)
    rows = [_cells(row) if len(machines) == 1 else (row.pair.machine, *_cells(row)) for row in found.pairs]
    if rows:
        say_table(head, rows)
    else:
        say("the shop has no pair yet; describe one in families/, then `gemel write`")
    for (state, reasons), names in _reasons(found).items():
        which = ", ".join(names) if len(names) <= _MOST_NAMED else f"{len(names)} pairs"
        say(f"{state}: {', '.join(reasons)}  ({which})")
    for machine, waiting in found.waiting.items():
        if waiting:
            many = "1 file" if len(waiting) == 1 else f"{len(waiting)} files"
            is_or_are = "is" if len(waiting) == 1 else "are"
            say(f"{many} from {machine} {is_or_are} not recognised: `gemel intake --machine {machine}`")
    say_findings(found.findings)


def _reasons(found: ShopStatus) -> dict[tuple[str, tuple[str, ...]], list[str]]:
    """The pairs by what is the matter with them, since one file makes many pairs stale."""
    rows: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for row in found.pairs:
        if row.reasons:
            rows.setdefault((row.state.value, row.reasons), []).append(f"{row.pair.family}/{row.pair.member}")
    return rows


def _cells(row: PairStatus) -> tuple[str, ...]:
    return (
        f"{row.pair.family}/{row.pair.member}",
        "" if row.program is None else str(row.program),
        " ".join(part for part in (row.drawing, row.revision) if part),
        row.state.value,
        _at_control(row),
        _proof(row),
        _release(row),
        _cycle(row),
        row.at_control.facts.taken_at[:10] if row.at_control else "",
    )


def _at_control(row: PairStatus) -> str:
    counts = ((row.edits.undecided, "undecided"), (row.edits.kept, "kept"))
    said = [f"{count} {what}" for count, what in counts if count]
    if row.sent is not None and (row.at_control is None or row.at_control.replaced):
        same = row.sent.revision == row.revision
        return ", ".join([*said, "as sent" if same else f"as sent, revision {row.sent.revision}"])
    if row.at_control is None:
        return ", ".join([*said, "never seen"])
    if row.at_control.other:
        said.append("another writing")
    return ", ".join(said) or "as written"


def _proof(row: PairStatus) -> str:
    proof = row.proof
    if proof is None:
        return ""
    if proof.fault:
        return "cannot be proved"
    if proof.errors:
        return f"{proof.errors} error{'s' if proof.errors > 1 else ''}"
    return f"proved, {proof.warnings} warning{'s' if proof.warnings > 1 else ''}" if proof.warnings else "proved"


def _release(row: PairStatus) -> str:
    if row.release is None:
        return "no"
    if row.released:
        return f"{row.release.prove_out.on} {row.release.prove_out.by}"
    return f"only revision {row.release.revision}" if row.release.revision != row.revision else "an older text"


def _cycle(row: PairStatus) -> str:
    if row.proof is None or row.proof.period_s is None:
        return ""
    about = "at least " if row.proof.unknown else ""
    return f"{about}{row.proof.period_s:.1f} s"


def _say_json(found: ShopStatus) -> None:
    import json  # noqa: PLC0415 # needed by this function alone

    value = {
        "needs": found.needs,
        "pairs": [_object(row) for row in found.pairs],
        "waiting": {
            machine: [{"id": one.id, "file": one.file, "received_at": one.received_at} for one in waiting]
            for machine, waiting in found.waiting.items()
        },
        "findings": [
            {"code": f.name, "severity": f.severity.value, "cause": f.cause, "remedy": f.remedy} for f in found.findings
        ],
    }
    say(json.dumps(value, indent=2))


def _object(row: PairStatus) -> dict[str, Any]:
    release, at_control, proof = row.release, row.at_control, row.proof
    return {
        "machine": row.pair.machine,
        "family": row.pair.family,
        "member": row.pair.member,
        "program": row.program,
        "drawing": row.drawing,
        "revision": row.revision,
        "state": row.state.value,
        "reasons": list(row.reasons),
        "needs": list(row.needs),
        "edits": row.edits._asdict(),
        "at_control": at_control
        and {
            "taken_at": at_control.facts.taken_at,
            "taken_by": at_control.facts.taken_by,
            "channels": sorted(at_control.facts.given),
            "another_writing": at_control.other,
            "replaced": at_control.replaced,
        },
        "sent": row.sent
        and {
            "sent_at": row.sent.sent_at,
            "sent_by": row.sent.sent_by,
            "revision": row.sent.revision,
            "stamp": row.sent.stamp,
            "released": row.sent.released,
        },
        "proof": proof
        and {
            "errors": proof.errors,
            "warnings": proof.warnings,
            "fault": proof.fault,
            "passes": not (proof.errors or proof.fault),
        },
        "period_s": proof.period_s if proof else None,
        "released": row.released,
        "release": release
        and {
            "tag": release.tag,
            "by": release.prove_out.by,
            "on": release.prove_out.on,
            "revision": release.revision,
            "stamp": release.stamp,
        },
    }
