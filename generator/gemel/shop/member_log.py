"""What became of one member: every writing, copy, decision, sending and release, the oldest first."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from gemel.findings import Finding, Findings, Label, Span, printable
from gemel.history import look_aside, machines_aside, read_repository
from gemel.history.intake import INTAKE
from gemel.history.record import PairName
from gemel.history.releases import releases
from gemel.history.sent import SENT
from gemel.history.trail import first_seen, trail_of
from gemel.shop import codes

if TYPE_CHECKING:
    from gemel.history import Repository
    from gemel.history.trail import Step
    from gemel.shop.layout import Shop

__all__ = ["Event", "MemberLog", "What", "log_of"]


class What(StrEnum):
    """What happened."""

    WRITTEN = "written"
    TAKEN_IN = "taken in"
    DECIDED = "decided"
    SENT = "sent"
    RELEASED = "released"


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened to a pair.

    Attributes:
        at: when, ISO 8601; a day alone for a decision that is not committed.
        what: what happened.
        machine: for which machine, at whose control.
        by: who did it.
        said: one sentence.
        ref: commit, tag, or id of the edit.
    """

    at: str
    what: What
    machine: str
    by: str
    said: str
    ref: str


@dataclass(slots=True)
class MemberLog:
    """All of it, the oldest first, and what could not be read."""

    events: list[Event] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)


def log_of(shop: Shop, name: str, machine: str | None) -> MemberLog:
    """What became of `FAMILY/MEMBER`, on all machines or on one.

    Raises:
        Findings: `shop:no-member` where nothing is known of it, `git:` faults.
    """
    family, _, member = name.partition("/")
    if not member:
        raise Findings([_no_member(shop, family)])
    repository = read_repository(shop.root)
    log = MemberLog()
    for one in _machines(shop, repository, machine):
        pair = PairName(one, family, member)
        log.events += _written(repository, pair)
        try:
            log.events += _at_control(repository, pair)
        except Findings as error:
            log.findings.extend(error.findings)
    try:
        log.events += _decided(shop, repository, (family, member), machine)
    except Findings as error:
        log.findings.extend(error.findings)
    log.events += _released(repository, family, member, machine)
    if not log.events:
        on = f" on {printable(machine)}" if machine else ""
        cause = f"nothing is on record of `{printable(name)}`{on}"
        raise Findings([*log.findings, codes.NO_MEMBER.found(cause, Label(Span("gemel log"), printable(name)))])
    log.events = _in_order(log.events)
    return log


def _no_member(shop: Shop, family: str) -> Finding:
    from gemel.shop.prove_files import pair_names  # noqa: PLC0415 # heavy, and needed to say this alone

    known = sorted(f"`{pair.family}/{pair.member}`" for pair in pair_names(shop) if pair.family == family)
    remedy = f"name a member: {', '.join(dict.fromkeys(known))}" if known else codes.NO_MEMBER.remedy
    cause = f"`{printable(family)}` names no member; a log is of one"
    return codes.NO_MEMBER.found(cause, Label(Span("gemel log"), printable(family)), remedy=remedy)


def _machines(shop: Shop, repository: Repository, machine: str | None) -> list[str]:
    if machine is not None:
        return [machine]
    written = [path.name for path in (shop.root / "output").glob("*") if path.is_dir()]
    return sorted({*shop.machine_names(), *machines_aside(repository), *written})


def _written(repository: Repository, pair: PairName) -> list[Event]:
    steps = trail_of(repository, repository.tip(), pair.folder)
    return [Event(s.at, What.WRITTEN, pair.machine, s.by, _rest(s), s.commit) for s in steps]


def _at_control(repository: Repository, pair: PairName) -> list[Event]:
    tip = look_aside(repository, pair.machine).tip
    taken = trail_of(repository, tip, f"{pair.stem}/{INTAKE}")
    sent = trail_of(repository, tip, f"{pair.stem}/{SENT}")
    rows = [Event(s.at, What.TAKEN_IN, pair.machine, s.by, _taken(s), s.commit) for s in taken]
    return rows + [Event(s.at, What.SENT, pair.machine, s.by, _rest(s), s.commit) for s in sent]


def _rest(step: Step) -> str:
    """The subject without the name of the pair, which the whole log is about."""
    return step.subject.partition(": ")[2] or step.subject


def _taken(step: Step) -> str:
    """The channels that came, and those of them that were not as gemel wrote them."""
    changed = [row.partition(":")[0] for row in step.body if "other bytes than its baseline" in row]
    return f"{_rest(step)}; " + (f"changed: {', '.join(changed)}" if changed else "as gemel wrote it")


def _decided(shop: Shop, repository: Repository, name: tuple[str, str], machine: str | None) -> list[Event]:
    family, member = name
    path = f"families/{family}.edits.yaml"
    if not (shop.root / path).is_file():
        return []
    from gemel.edits.records import read_records  # noqa: PLC0415 # heavy, and most families have none

    file = shop.read(path)
    records = [
        record
        for record in read_records(file.text, file.name)
        if record.edit.member == member and machine in (None, record.edit.machine)
    ]
    moments = first_seen(repository, path, (record.edit.id for record in records))
    events = []
    for record in records:
        edit = record.edit
        # A record has a day; the commit that brought it has the moment, where it is of that day.
        moment = moments.get(edit.id, "")
        at = moment if moment.startswith(edit.when) else edit.when
        said = f"{record.verb.value}: {record.said} ({edit.why})"
        events.append(Event(at, What.DECIDED, edit.machine, edit.by, said, edit.id))
    return events


def _released(repository: Repository, family: str, member: str, machine: str | None) -> list[Event]:
    found = []
    for one in releases(repository):
        if (one.pair.family, one.pair.member) == (family, member) and machine in (None, one.pair.machine):
            note = f" ({one.prove_out.note})" if one.prove_out.note else ""
            said = f"revision {one.revision}, stamp {one.stamp}, proved out on {one.prove_out.on}{note}"
            found.append(Event(one.recorded_at, What.RELEASED, one.pair.machine, one.prove_out.by, said, one.tag))
    return found


def _in_order(events: list[Event]) -> list[Event]:
    """The oldest first. A decision that has a day and no hour stands behind the last copy up to that day."""
    copies = sorted(_moment(event.at) for event in events if event.what is What.TAKEN_IN)

    def key(event: Event) -> datetime:
        moment = _moment(event.at)
        if "T" in event.at:
            return moment
        before = [copy for copy in copies if copy < moment + timedelta(days=1)]
        return max(moment, *before[-1:])

    order = list(What)
    return sorted(events, key=lambda event: (key(event), order.index(event.what)))


def _moment(text: str) -> datetime:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return datetime.min.replace(tzinfo=UTC)
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
