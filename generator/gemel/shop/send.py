"""Send pairs to a control's folder: never over a change that nobody has taken in, read back, put on record."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from gemel.findings import Finding, Findings, Label, Span, printable
from gemel.history import digest, hold_shop, hold_side_branches, look_aside, read_intake, read_pair, read_repository
from gemel.history.baselines import known_baselines
from gemel.history.delivery import Changed, Order, carry_out, discard, read_back, read_there, stage, unfinished
from gemel.history.mark import NOT_RELEASED, RELEASED, without_mark
from gemel.history.record import PairName
from gemel.history.releases import releases
from gemel.history.sent import Sent, sent_texts, store_sent
from gemel.shop import release_codes as codes
from gemel.shop.for_control import control_name, for_control, is_file_name
from gemel.shop.pair_facts import derived_of
from gemel.shop.pair_state import State, States
from gemel.shop.prove_files import machine_of
from gemel.shop.release import named_pair, passes, undecided_edits, whole_pair

if TYPE_CHECKING:
    from pathlib import Path

    from gemel.history import Repository, StoredPair
    from gemel.shop.layout import Shop

__all__ = ["SentPair", "send"]


@dataclass(frozen=True, slots=True)
class SentPair:
    """What became of one pair.

    Attributes:
        name: `FAMILY/MEMBER`.
        machine: whose control.
        files: names there, by channel; empty where nothing was sent.
        released: whether it bears the mark of a released pair.
        wrote: whether anything had to be written.
        findings: what was said; with an error nothing of the pair was sent.
    """

    name: str
    machine: str
    files: dict[str, str]
    released: bool
    wrote: bool
    findings: tuple[Finding, ...]


def send(shop: Shop, names: list[str], folder: Path, machine: str | None) -> list[SentPair]:
    """Send pairs, each whole or not at all.

    Args:
        shop: the shop.
        names: `FAMILY/MEMBER`.
        folder: the control's.
        machine: whose control, where a pair is written for several.

    Raises:
        Findings: `send:no-folder`, a pair that is not there, `git:`, `lock:` faults; nothing was sent.
        OSError: the folder cannot be read.
    """
    if not folder.is_dir():
        cause = f"{printable(str(folder))} is {'no folder' if folder.exists() else 'not there'}"
        raise Findings([codes.NO_FOLDER.found(cause, Label(Span(printable(str(folder)))))])
    repository = read_repository(shop.root)
    repository.check_identity()
    pairs = [named_pair(shop, name, machine) for name in dict.fromkeys(names)]
    with hold_shop(shop.root, "sending pairs"):
        sender = _Sender(shop, repository, folder)
        finished = sender.finish_what_was_left()
        sender.check_names(pairs)
        return finished + [sender.send(pair) for pair in pairs]


@dataclass(slots=True)
class _Sender:
    shop: Shop
    repository: Repository
    folder: Path

    def finish_what_was_left(self) -> list[SentPair]:
        """Complete what killed senders left half done in the folder."""
        finished = []
        for staged, order in unfinished(self.folder):
            if order is None:
                discard(staged)
                continue
            pair = PairName(order.machine, order.family, order.member)
            cause = f"{pair.stem}: an earlier send to {printable(str(self.folder))} was ended in the middle"
            label = Label(Span(printable(str(staged))))
            try:
                carry_out(self.folder, staged, order)
                said = codes.LEFT_HALF.found(f"{cause}; it is complete now", label)
                self._put_on_record(pair, order, wrote=True)
            except Changed as changed:
                said = codes.UNKNOWN_THERE.found(f"{cause}, and {printable(changed.name)} was changed since", label)
            name = f"{pair.family}/{pair.member}"
            finished.append(
                SentPair(name, pair.machine, dict(order.files), order.released, wrote=True, findings=(said,))
            )
        return finished

    def check_names(self, pairs: list[PairName]) -> None:
        """See that every program gets a name of its own, and one that is a file everywhere.

        Raises:
            Findings: `send:same-name`, `send:name`.
        """
        found: list[Finding] = []
        owner: dict[str, str] = {}
        for pair in pairs:
            stored = read_pair(self.shop.root, pair)
            for name in self._names(stored).values() if stored else ():
                label = Label(Span(printable(name)))
                if name.upper() in owner:
                    cause = f"{printable(name)} is the name of a program of {owner[name.upper()]} and of {pair.stem}"
                    found.append(codes.SAME_NAME.found(cause, label))
                owner.setdefault(name.upper(), pair.stem)
                if not is_file_name(name):
                    found.append(codes.NAME.found(f"`{printable(name)}` cannot be the name of a file", label))
        if found:
            raise Findings(found)

    def _names(self, stored: StoredPair) -> dict[str, str]:
        """Name of each channel's program in the control's folder."""
        machine = machine_of(self.shop, stored.name.machine)
        return {channel: control_name(machine, channel, stored.record) for channel in machine.channels}

    def send(self, pair: PairName) -> SentPair:
        """Send one pair."""
        name = f"{pair.family}/{pair.member}"
        try:
            return self._send(pair, name)
        except Findings as error:
            return SentPair(name, pair.machine, {}, released=False, wrote=False, findings=error.findings)

    def _send(self, pair: PairName, name: str) -> SentPair:
        stored = whole_pair(self.shop, pair)
        proof = [finding for finding in passes(self.shop, pair) if finding.is_error]
        if proof:
            raise Findings(proof)
        record = stored.record
        released = any(one.pair == pair and one.texts == record.texts for one in releases(self.repository))
        machine = machine_of(self.shop, pair.machine)
        files = self._names(stored)
        suffixes = {str(facts.suffix): channel for channel, facts in machine.channels.items()}
        word = RELEASED if released else NOT_RELEASED
        texts = {
            channel: for_control(data, machine, word)
            for file, data in stored.texts.items()
            for suffix, channel in suffixes.items()
            if file.endswith(suffix)
        }
        old = self._seen(pair, {channel: files[channel] for channel in texts})
        order = Order(
            pair.machine,
            pair.family,
            pair.member,
            min(record.stamp.values(), default=""),
            record.revision,
            released,
            {channel: files[channel] for channel in texts},
            old,
            {channel: digest(data) for channel, data in texts.items()},
        )
        findings = self._warnings(pair, order)
        wrote = order.old != order.new
        if wrote:
            self._deliver(order, texts)
        self._put_on_record(pair, order, wrote=wrote)
        return SentPair(name, pair.machine, dict(order.files), released, wrote, tuple(findings))

    def _seen(self, pair: PairName, files: dict[str, str]) -> dict[str, str]:
        """Digest of what stands there now, by channel.

        Raises:
            Findings: `send:unknown-there`, `send:link`.
        """
        found: list[Finding] = []
        seen: dict[str, str] = {}
        known = self._known(pair)
        for channel, name in files.items():
            label = Label(Span(printable(str(self.folder / name))))
            try:
                there = read_there(self.folder, name)
            except IsADirectoryError:
                found.append(codes.LINK_THERE.found(f"{printable(name)} there is no file", label))
                continue
            seen[channel] = "" if there is None else digest(there)
            if there is not None and digest(without_mark(there)) not in known and seen[channel] not in known:
                cause = f"{printable(name)} there is not what gemel knows to be there; it is left as it is"
                found.append(codes.UNKNOWN_THERE.found(cause, label))
        if found:
            raise Findings(found)
        return seen

    def _known(self, pair: PairName) -> set[str]:
        """Digests of what may stand at the control without a change being lost."""
        side = look_aside(self.repository, pair.machine)
        known = {digest(data) for data in sent_texts(side, pair).values()}
        intake = read_intake(side, pair)
        known |= {digest(c.copy) for c in (intake.channels.values() if intake else ()) if c.copy is not None}
        writings, _ = known_baselines(self.shop.root, self.repository)
        return known | {value for one in writings if one.name == pair for value in one.record.texts.values()}

    def _warnings(self, pair: PairName, order: Order) -> list[Finding]:
        label, found = Label(Span(pair.folder)), []
        stored = whole_pair(self.shop, pair)
        state, reasons = States(self.shop, derived_of(self.shop, self.repository)).now(stored)
        name = f"{pair.family}/{pair.member}"
        if state is not State.CURRENT:
            found.append(codes.STALE.found(f"{name} is {state.value}: {', '.join(reasons)}", label))
        if not order.released:
            found.append(
                codes.NOT_RELEASED.found(f"{name} is not released for {pair.machine}, and is marked so", label)
            )
        undecided = undecided_edits(self.shop, self.repository, pair)
        if undecided and order.old != order.new:
            cause = (
                f"{undecided} edits of {name} that ran at {pair.machine} are undecided, and are not in what was sent"
            )
            found.append(codes.UNDECIDED_THERE.found(cause, label))
        return found

    def _deliver(self, order: Order, texts: dict[str, bytes]) -> None:
        """Write, replace, read back.

        Raises:
            Findings: `send:unknown-there` when somebody was faster, `send:read-back`.
            OSError: the folder is full or gone.
        """
        staged = stage(self.folder, order, texts)
        try:
            carry_out(self.folder, staged, order)
        except Changed as changed:
            discard(staged)
            cause = f"{printable(changed.name)} there was changed just now; it is left as it is"
            raise Findings([codes.UNKNOWN_THERE.found(cause, Label(Span(printable(changed.name))))]) from None
        for channel, name in order.files.items():
            there = read_back(self.folder, name)
            if there != texts[channel]:
                cause = f"{printable(name)}: what was read back is not what was written"
                raise Findings([codes.READ_BACK.found(cause, Label(Span(printable(str(self.folder / name)))))])

    def _put_on_record(self, pair: PairName, order: Order, *, wrote: bool) -> None:
        """On the side branch: these bytes stand at the control."""
        texts = {channel: read_there(self.folder, name) or b"" for channel, name in order.files.items()}
        with hold_side_branches(self.repository.folder, f"sending to {pair.machine}"):
            side = look_aside(self.repository, pair.machine)
            now = datetime.now(UTC).isoformat(timespec="seconds")
            who = self.repository.run("var", "GIT_COMMITTER_IDENT").out.decode("utf-8", "replace").partition(" <")[0]
            sent = Sent(now, who, order.stamp, order.revision, order.released, dict(order.new), dict(order.files))
            store_sent(side, pair, sent, texts, wrote=wrote)
