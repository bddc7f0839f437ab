"""Files of one pair looked at as if they were taken in; nothing is stored."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gemel.findings import Findings, Label, Span, printable
from gemel.history import ChannelCopy, Intake, IntakeFacts, digest, look_aside, read_repository
from gemel.history.baselines import known_baselines
from gemel.history.intake import Given
from gemel.shop import intake_codes
from gemel.shop.edited import compared
from gemel.shop.identify import Told, identify
from gemel.shop.intake_files import files_of
from gemel.shop.judge import judge
from gemel.shop.judged_pairs import no_pair
from gemel.shop.prove_files import machine_of, pair_names
from gemel.shop.recognise import pieces_of
from gemel.shop.register import Register

if TYPE_CHECKING:
    from collections.abc import Sequence

    from gemel.findings import Explanation
    from gemel.history import PairName
    from gemel.history.received import File
    from gemel.shop.identify import Identity
    from gemel.shop.judge import Judged
    from gemel.shop.judged_pairs import Asked
    from gemel.shop.layout import Shop

__all__ = ["judged_copies"]


def judged_copies(shop: Shop, files: Sequence[str], asked: Asked) -> Judged:
    """Programs of one pair judged against the baselines that they bear the stamps of.

    Args:
        shop: where.
        files: one for each channel, or for some; the others are taken to stand as they were written.
        asked: the pair, `FAMILY/MEMBER`, and its machine.

    Raises:
        Findings: `intake:` faults of the files, `shop:no-pair`, `side:no-baseline`.
    """
    [word] = asked.words
    names = pair_names(shop)
    fitting = [p for p in names if word == f"{p.family}/{p.member}" and asked.machine in {"", p.machine}]
    if len(fitting) != 1:
        raise Findings([no_pair(word, names, asked.machine)])
    [name] = fitting
    machine, repository = machine_of(shop, name.machine), read_repository(shop.root)
    register = Register(
        shop.root, look_aside(repository, name.machine), machine, known_baselines(shop.root, repository)[0]
    )
    given: dict[str, tuple[File, Identity]] = {}
    for file in files_of(files).files:
        identity = _identity(file, register, name)
        if identity.channel in given:
            cause = f"{printable(file.name)} and {printable(given[identity.channel][0].name)} are both the"
            raise _fault(intake_codes.TWICE, f"{cause} {identity.channel} program of {word}", file)
        given[identity.channel] = file, identity
    intake = Intake(IntakeFacts(name, "", "", {}, {}), "", _channels(list(machine.channels), given))
    return judge(shop, compared(shop, machine, name, intake), machine, single=asked.single)


def _identity(file: File, register: Register, name: PairName) -> Identity:
    """Which channel of the pair a file is.

    Raises:
        Findings: `intake:` faults; it is another pair's program.
    """
    pieces = pieces_of(file.data)
    try:
        identity = identify(pieces[0], file.name, register)
    except Findings as error:
        # What says nothing of itself is the pair's that was named, if the end of its name tells the channel.
        facts = register.machine.channels
        channel = next((c for c, one in facts.items() if file.name.endswith(str(one.suffix))), "")
        if not channel or any(finding.name != intake_codes.UNKNOWN.name for finding in error.findings):
            raise
        identity = identify(pieces[0], file.name, register, Told("", name, channel))
    if identity.pair != name:
        is_of = f"{identity.pair.family}/{identity.pair.member}"
        raise _fault(intake_codes.DOUBT, f"{printable(file.name)} is a program of {is_of}", file)
    return identity


def _fault(code: Explanation, cause: str, file: File) -> Findings:
    return Findings([code.found(cause, Label(Span(printable(file.name))))])


def _channels(names: list[str], given: dict[str, tuple[File, Identity]]) -> dict[str, ChannelCopy]:
    """Every channel: its copy and baseline, for those that were not given the baseline beside the first one's."""
    first = next(iter(given.values()))[1].baseline
    found = {}
    for name in names:
        file, baseline = (given[name][0], given[name][1].baseline) if name in given else (None, first)
        if name in baseline.texts:
            data = file.data if file else None
            found[name] = ChannelCopy(name, data, baseline.texts[name], baseline.known.record, _given(file))
    return found


def _given(file: File | None) -> Given | None:
    if file is None:
        return None
    size = len(file.data)
    return Given(file.name, file.sha256, 0, size, digest(file.data), "told", "", "", "")
