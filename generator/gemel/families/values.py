"""The named values of one member: numbers, expressions over each other, sizes with a tolerance, threads."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from gemel.documents import label_of, place_of
from gemel.families import codes
from gemel.families.expressions import Fault, parsed, usable_name
from gemel.families.fits import UnknownTolerance, limits
from gemel.families.schema import Threaded, Toleranced
from gemel.families.settle import MM_PER_INCH, checked, finding_of, number_of
from gemel.families.threads import UnknownThread, thread
from gemel.findings import Findings, Label, Span, did_you_mean
from gemel.numbers import named, rule

if TYPE_CHECKING:
    from collections.abc import Mapping

    from gemel.families.deviations import Limits
    from gemel.families.formula import Written
    from gemel.families.schema import FamilyFile, Value
    from gemel.findings import Finding

__all__ = ["MemberValues", "values_of"]


class MemberValues:
    """What a member's names stand for.

    Attributes:
        numbers: every value as the program aims at it, in the family's unit.
        tolerances: limit deviations, mm, of the values that have some of their own.
        threads: names of the values that are threads.
        elsewhere: names to which other members give values, and this one does not.
    """

    def __init__(self, rows: Mapping[str, Value], *, inch: bool, elsewhere: frozenset[str] = frozenset()) -> None:
        self.elsewhere = elsewhere
        self.numbers: dict[str, float] = {}
        self.tolerances: dict[str, Limits] = {}
        self.threads: dict[str, str] = {}
        self._rows = rows
        self._inch = inch
        self._open: list[str] = []
        self.findings: list[Finding] = []
        for name in rows:
            self._settle(name)

    def _settle(self, name: str) -> None:
        if name in self.numbers:
            return
        row = self._rows[name]
        if isinstance(row, Threaded):
            self._thread(name, row)
            return
        written = cast("Written", row.size if isinstance(row, Toleranced) else row)
        if name in self._open:
            circle = " -> ".join([*self._open[self._open.index(name) :], name])
            self._fail(name, Fault(codes.CIRCULAR, f"values depend on each other in a circle: {circle}"), written)
            return
        self._open.append(name)
        try:
            self.numbers[name] = self._number(name, row, written)
        except Fault as fault:
            self._fail(name, fault, written)
        finally:
            self._open.pop()

    def _thread(self, name: str, row: Threaded) -> None:
        place = place_of(row.thread)
        try:
            major = thread(row.thread).major_mm
        except UnknownThread as error:
            remedy = did_you_mean(row.thread, error.known)
            labels = (label_of(place),) if place else ()
            cause = f"{name}: there is no thread `{row.thread}`"
            self.findings.append(codes.UNKNOWN_THREAD.found(cause, *labels, remedy=remedy))
            self.numbers[name] = rule(1.0, f"stand-in for {name}", "its own value is faulty")
            return
        size = major / MM_PER_INCH if self._inch else major
        self.numbers[name] = size if place is None else named(size, place._replace(name=f"values.{name}"))
        self.threads[name] = row.thread

    def _fail(self, name: str, fault: Fault, written: Written) -> None:
        self.findings.append(finding_of(fault, written))
        self.numbers[name] = rule(1.0, f"stand-in for {name}", "its own value is faulty")

    def _number(self, name: str, row: Value, written: Written) -> float:
        if written.value is None:
            for other in parsed(written.text).names:
                if other in self._rows:
                    self._settle(other)
        number = checked(number_of(written, self.numbers, self._rows, self.elsewhere), written)
        if not isinstance(row, Toleranced):
            return number
        size_mm = number * MM_PER_INCH if self._inch else number
        try:
            deviations = limits(float(size_mm), row.tolerance, 25.4 if self._inch else 1.0)
        except UnknownTolerance as error:
            place = place_of(row.tolerance)
            label = label_of(place) if place else Label(Span(written.place.file))
            remedy = did_you_mean(error.text, error.known)
            self.findings.append(codes.UNKNOWN_TOLERANCE.found(f"{name}: {error}", label, remedy=remedy))
            return number
        self.tolerances[name] = deviations
        middle = rule(float(deviations.middle_mm), f"middle of {deviations.text}", deviations.standard)
        aimed = number + (middle / MM_PER_INCH if self._inch else middle)
        return named(aimed, written.place._replace(name=f"values.{name}"))


def values_of(family: FamilyFile, member: str) -> MemberValues:
    """The values of one member: the family's, with the member's own in their place.

    Raises:
        Findings: unusable names, faulty expressions, circles, unknown tolerances.
    """
    own = {name: value for name, value in family.members[member].items() if name != "program" and value is not None}
    rows = {**family.values, **own}
    bad = [
        codes.VALUE_NAME.found(f"`{name}` cannot be the name of a value", *_label(name))
        for name in rows
        if not usable_name(name)
    ]
    if bad:
        raise Findings(bad)
    elsewhere = frozenset(name for row in family.members.values() for name in row) - rows.keys() - {"program"}
    values = MemberValues(rows, inch=family.unit == "inch", elsewhere=elsewhere)
    if values.findings:
        raise Findings(values.findings)
    return values


def _label(name: str) -> tuple[Label, ...]:
    place = place_of(name)
    return (label_of(place),) if place else ()
