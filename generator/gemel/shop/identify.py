"""Which channel of which pair a program from a control is, and which baseline it descends from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gemel.findings import Finding, Findings, Label, Span, did_you_mean, printable
from gemel.history import codes as history_codes
from gemel.shop import intake_codes as codes
from gemel.shop.recognise import stamps_in, title_names

if TYPE_CHECKING:
    from gemel.history.baselines import Known
    from gemel.history.record import PairName
    from gemel.shop.recognise import Piece
    from gemel.shop.register import Named, Register

__all__ = ["Identity", "Told", "identify", "told_of"]

_WHOLE_STAMP = 10
_LIKE, _CLEARLY = 0.5, 1.5


@dataclass(frozen=True, slots=True)
class Told:
    """What a person said a program is.

    Attributes:
        file: the file that is meant, by name or by its id in `received/`; empty for the only one.
        pair: which pair.
        channel: which channel.
    """

    file: str
    pair: PairName
    channel: str


@dataclass(frozen=True, slots=True)
class Identity:
    """What a program is.

    Attributes:
        pair: which pair.
        channel: which channel.
        known_by: `stamp`, `number` or `told`.
        baseline: what it descends from.
        findings: notes and warnings.
    """

    pair: PairName
    channel: str
    known_by: str
    baseline: Named
    findings: tuple[Finding, ...] = ()


def told_of(words: str, register: Register) -> Told:
    """What `[FILE=]MEMBER:CHANNEL` says.

    Raises:
        Findings: `intake:as` with the nearest member or channel.
    """
    file, _, rest = words.rpartition("=")
    name, colon, channel = rest.rpartition(":")
    if not colon:
        raise Findings([codes.NO_AS.found(f"`{printable(words)}` is no MEMBER:CHANNEL", Label(Span("--as")))])
    names = {f"{pair.family}/{pair.member}": pair for pair in register.pairs()}
    channels = list(register.machine.channels)
    for kind, said, known in (("pair", name, list(names)), ("channel", channel, channels)):
        if said not in known:
            cause = f"`{printable(words)}`: `{printable(said)}` is no {kind} on {register.machine.machine}"
            remedy = did_you_mean(said, known) if known else codes.NO_AS.remedy
            raise Findings([codes.NO_AS.found(cause, Label(Span("--as")), remedy=remedy)])
    return Told(file, names[name], channel)


def identify(piece: Piece, file: str, register: Register, told: Told | None = None) -> Identity:
    """What a program from a control is.

    Raises:
        Findings: `intake:unrecognised`, `intake:doubt`, `intake:other-machine`, `side:no-baseline`.
    """
    return _Question(piece, file, register, told).answer()


@dataclass(frozen=True, slots=True)
class _Question:
    piece: Piece
    file: str
    register: Register
    told: Told | None

    def answer(self) -> Identity:
        stamped = self._stamped()
        if self.told is not None:
            return self._as_told(self.told, stamped)
        if stamped is not None:
            pair = stamped.known.name
            self._check_number(pair)
            return Identity(pair, self._channel(pair, stamped), "stamp", stamped)
        pair = self._pair_by_number_and_name()
        newest = self._any_baseline(pair)
        channel = self._channel(pair, newest)
        return self._with_nearest(pair, channel, "number")

    def _check_number(self, pair: PairName) -> None:
        """A number that is another pair's speaks against the stamp; one that is nobody's was given at the control."""
        numbered = self._numbered()
        if numbered and pair not in numbered:
            number = self.piece.number
            cause = f"its stamp is that of {_names([pair])}, its program number {number} that of {_names(numbered)}"
            raise self._fault("doubt", cause)

    def _fault(self, code: str, cause: str) -> Findings:
        explanation = {"unrecognised": codes.UNKNOWN, "doubt": codes.DOUBT, "other": codes.OTHER_MACHINE}[code]
        label = Label(Span(printable(self.file), 0))
        return Findings([explanation.found(f"{printable(self.file)}: {cause}", label)])

    def _stamped(self) -> Named | None:
        """The baseline that the stamp names; None without a stamp that can be read."""
        found = stamps_in(self.piece, self.register.stamps())
        if not found or (len(found) > 1 and self.told is not None):
            return None
        if len(found) > 1:
            raise self._fault("doubt", f"it bears several stamps: {', '.join(sorted(found))}")
        stamp = found.pop()
        known = self.register.with_stamp(stamp)
        stamps = {full for one in known for full in one.stamps if full.startswith(stamp)}
        if len(stamps) > 1:
            if self.told is not None:
                return None
            raise self._fault(
                "doubt", f"its stamp is cut to {stamp}, which begins several: {', '.join(sorted(stamps))}"
            )
        return self._unknown(stamp) if not known else self._loaded(stamp)

    def _loaded(self, stamp: str) -> Named | None:
        known = self.register.with_stamp(stamp)
        ours = [one for one in known if one.name.machine == self.register.machine.machine]
        if not ours and self.told is not None:
            return None
        if not ours:
            other = known[0].name
            cause = f"its stamp {stamp} is that of {other.family}/{other.member} for {other.machine}"
            raise self._fault("other", cause)
        loaded = (self.register.load(one) for one in self._of_one_pair(ours))
        return next((named for named in loaded if named is not None), None) or self._unknown(stamp)

    def _of_one_pair(self, known: list[Known]) -> list[Known]:
        """Those of one pair: parts that are cut alike bear the same stamp, and differ in number and name."""
        pairs = list(dict.fromkeys(one.name for one in known))
        if self.told is not None:
            return [one for one in known if one.name == self.told.pair] or known
        numbered = [pair for pair in pairs if pair in self._numbered()]
        named = [pair for pair in pairs if self._title(pair) is not None]
        fitting = [pair for pair in numbered if pair in named] or numbered or named or pairs
        if len(fitting) > 1:
            raise self._fault("doubt", f"its stamp is that of parts that are cut alike: {_names(fitting)}")
        return [one for one in known if one.name == fitting[0]]

    def _numbered(self) -> list[PairName]:
        number = self.piece.number
        return self.register.numbered(number) if number is not None else []

    def _unknown(self, stamp: str) -> Named | None:
        """The baseline beside an earlier copy. A stamp that is cut and unknown is as good as none."""
        aside = self.register.beside_earlier_copies(stamp)
        if aside is not None or len(stamp) < _WHOLE_STAMP or self.told is not None:
            return aside
        cause = f"{printable(self.file)}: its stamp {stamp} names a baseline that is not in this shop"
        raise Findings([history_codes.NO_BASELINE.found(cause, Label(Span(printable(self.file))))])

    def _pair_by_number_and_name(self) -> PairName:
        number = self.piece.number
        numbered = self._numbered()
        named = [pair for pair in self.register.pairs() if self._title(pair) is not None]
        both = [pair for pair in numbered if pair in named]
        if numbered and named and not both:
            cause = f"its program number {number} is that of {_names(numbered)}, its name that of {_names(named)}"
            raise self._fault("doubt", cause)
        found = both or numbered or named
        if len(found) > 1:
            raise self._fault("doubt", f"it may be {_names(found)}")
        if not found:
            said = f"its program number {number} is no member's" if number is not None else "it has no program number"
            raise self._fault("unrecognised", f"{said}, and no stamp or name of this shop can be read in it")
        return found[0]

    def _title(self, pair: PairName) -> str | None:
        return title_names(self.piece, f"{pair.family}{pair.member}", self.register.machine.channels)

    def _any_baseline(self, pair: PairName) -> Named:
        for known in self.register.ours:
            named = self.register.load(known) if known.name == pair else None
            if named is not None:
                return named
        cause = f"{printable(self.file)}: no writing of {pair.stem} can be read"
        raise Findings([history_codes.NO_BASELINE.found(cause, Label(Span(printable(self.file))))])

    def _channel(self, pair: PairName, baseline: Named) -> str:
        """The channel by what the program holds, confirmed or settled by its header and the name of its file."""
        says = self._title(pair) or self._by_suffix()
        like = sorted(((value, name) for name, value in self.register.channels_like(baseline, self.piece.data).items()))
        best, second = like[-1], (like[-2] if len(like) > 1 else (0.0, ""))
        clear = best[0] >= _LIKE and best[0] >= _CLEARLY * second[0]
        if clear and self._title(pair) and self._title(pair) != best[1]:
            raise self._fault("doubt", f"its header says {says}, what it holds is the {best[1]} program of {pair.stem}")
        if clear:
            return best[1]
        if says:
            return says
        raise self._fault("doubt", f"it is a program of {pair.stem}, but of which channel nothing says")

    def _by_suffix(self) -> str:
        fitting = [n for n, facts in self.register.machine.channels.items() if self.file.endswith(str(facts.suffix))]
        return fitting[0] if len(fitting) == 1 else ""

    def _as_told(self, told: Told, stamped: Named | None) -> Identity:
        if stamped is not None and stamped.known.name == told.pair and told.channel in stamped.texts:
            return Identity(told.pair, told.channel, "told", stamped)
        return self._with_nearest(told.pair, told.channel, "told")

    def _with_nearest(self, pair: PairName, channel: str, known_by: str) -> Identity:
        nearest = self.register.nearest(pair, channel, self.piece.data)
        if nearest is None:
            cause = f"{printable(self.file)}: no writing of {pair.stem} has a program for {channel} that can be read"
            raise Findings([history_codes.NO_BASELINE.found(cause, Label(Span(printable(self.file))))])
        record = nearest.known.record
        stamps = ", ".join(sorted(nearest.known.stamps))
        cause = (
            f"{printable(self.file)}: no stamp can be read; compared with the nearest writing of {pair.stem},"
            f" {stamps}, drawing {record.drawing} revision {record.revision}"
        )
        note = codes.NEAREST.found(cause, Label(Span(printable(self.file))))
        return Identity(pair, channel, known_by, nearest, (note,))


def _names(pairs: list[PairName]) -> str:
    return " or ".join(f"{pair.family}/{pair.member}" for pair in pairs)
