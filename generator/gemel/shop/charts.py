"""The time chart of one pair, alone or beside another state of it; timed from texts alone."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from gemel.findings import Findings, Label, Span
from gemel.history import hold_shop, read_repository
from gemel.reports.chart import chart_page, comparison_page
from gemel.reports.index import index_page
from gemel.reports.reread import reread
from gemel.shop import codes, inputs, pipeline, sheet_codes
from gemel.shop.make_sheet import about_text, name_of, programs_of, timed
from gemel.shop.sheet_folder import Contents, read_contents, store_contents
from gemel.shop.targets import targets_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.history import PairName, Repository
    from gemel.machines.schema import Machine
    from gemel.reports.chart import ChartSource
    from gemel.shop.layout import Shop
    from gemel.shop.pipeline import Rendered

__all__ = ["ChartOrder", "ChartPlace", "store_chart"]

_LARGEST_BYTES = 40_000_000
_Programs = dict[str, tuple[str, bytes]]


class ChartOrder(NamedTuple):
    """What is wanted.

    Attributes:
        pair: `family/member`. machine: for another machine than the family's own.
        against: a folder with the programs of another state, or a commit; empty for one chart alone.
        folder: where the page goes.
        override: feed override, 1 for 100 %.
    """

    pair: str
    machine: str | None
    against: str
    folder: Path
    override: float = 1.0


class ChartPlace(NamedTuple):
    """Where the page is, and from part to part in seconds: before (None without a comparison) and now."""

    path: Path
    before_s: float | None
    period_s: float | None


def store_chart(shop: Shop, order: ChartOrder) -> ChartPlace:
    """Make the chart and put it into the folder of sheets.

    Raises:
        Findings: there is no such pair, or nothing to compare with; whatever is wrong with the family; another gemel
            is at work; somebody put files into the folder.
        OSError: the disk; the folder stands as it was.
    """
    made = _rendered(shop, order)
    name = name_of(made)
    pair = reread(programs_of(made), made.loaded.machine)
    now = timed(made, pair, pair.timeline(order.override), about_text(made))
    before = _before(shop, order, made) if order.against else None
    page = chart_page(now) if before is None else comparison_page(before, now)
    path = f"{name.machine}/{name.stem}.{'chart' if before is None else 'compared'}.html"
    _store(shop, order.folder, made, (path, page))
    return ChartPlace(order.folder / path, before.timeline.period_s if before else None, now.timeline.period_s)


def _rendered(shop: Shop, order: ChartOrder) -> Rendered:
    [target] = targets_of(shop, [order.pair])
    if target.members is None:
        known = inputs.load(shop, target.family).family.members()
        cause = f"{order.pair} has {len(known)} members; a chart is of one"
        remedy = f"name one: `{target.family}/{known[0]}`"
        raise Findings([codes.NO_MEMBER.found(cause, Label(Span("gemel chart"), order.pair), remedy=remedy)])
    [task] = pipeline.tasks(shop, target, order.machine, prove=False)
    return pipeline.render(task)


def _before(shop: Shop, order: ChartOrder, made: Rendered) -> ChartSource:
    machine = made.loaded.machine
    folder = Path(order.against)
    if folder.is_dir():
        programs = _in_folder(folder, order.against, machine)
        about = f"from {order.against}"
    else:
        commit, programs = _in_commit(shop, order.against, name_of(made), machine)
        about = f"from commit {commit[:10]}"
    pair = reread(programs, machine)
    return timed(made, pair, pair.timeline(order.override), about)


def _in_folder(folder: Path, said: str, machine: Machine) -> _Programs:
    """One program for each channel, told by the ends of their names."""
    programs: _Programs = {}
    for channel, facts in machine.channels.items():
        files = sorted(p for p in folder.iterdir() if p.name.endswith(facts.suffix) and p.is_file())
        if len(files) != 1:
            cause = f"{said} holds {len(files) or 'no'} program{'s' if len(files) > 1 else ''} of {channel}"
            raise _nothing(f"{cause}, by the end `{facts.suffix}`", said)
        if files[0].stat().st_size > _LARGEST_BYTES:
            raise _nothing(f"{files[0].name} is no program: it is too large", said)
        programs[channel] = (files[0].name, files[0].read_bytes())
    return programs


def _in_commit(shop: Shop, said: str, name: PairName, machine: Machine) -> tuple[str, _Programs]:
    repository = read_repository(shop.root)
    commit = _commit(repository, said)
    files = repository.files(commit, name.folder)
    programs: _Programs = {}
    paths = {c: f"{name.folder}/{name.stem}{facts.suffix}" for c, facts in machine.channels.items()}
    missing = [path for path in paths.values() if path not in files]
    if missing:
        raise _nothing(f"commit {commit[:10]} has no {missing[0]}", said)
    blobs = repository.read_blobs([files[path] for path in paths.values()])
    for (channel, path), data in zip(paths.items(), blobs, strict=True):
        programs[channel] = (path.rpartition("/")[2], data)
    return commit, programs


def _commit(repository: Repository, said: str) -> str:
    answer = repository.ask("rev-parse", "--verify", "--quiet", "--end-of-options", f"{said}^{{commit}}")
    if answer.status:
        raise _nothing(f"`{said}` is neither a folder nor a commit", said)
    return answer.out.decode().strip()


def _nothing(cause: str, said: str) -> Findings:
    return Findings([sheet_codes.NOTHING_THERE.found(cause, Label(Span("gemel chart"), said))])


def _store(shop: Shop, folder: Path, made: Rendered, page: tuple[str, str]) -> None:
    """Put one page into the folder; what is there stays."""
    path, text = page
    name = name_of(made)
    pair = f"{name.family}/{name.member}"
    key = f"{name.machine}:{pair}:{path}"
    kind = "compared" if path.endswith(".compared.html") else "chart"
    about: Mapping[str, object] = {"machine": name.machine, "pages": {path: f"{pair}, {kind}"}}
    with hold_shop(shop.root, "making a chart"):
        before = read_contents(folder)
        owner = before.owners.get(path)
        if owner is not None and owner != key:
            # The sheet's own chart: it stays where the sheet's entry names it.
            key, about = owner, before.entries[owner]
            files = {p: data for p, data in before.files.items() if before.owners[p] == owner} | {path: text.encode()}
        else:
            files = {path: text.encode()}
        now = before.and_(Contents({key: dict(about)}, files, dict.fromkeys(files, key)))
        store_contents(folder, now, index_page(now.entries.values()))
