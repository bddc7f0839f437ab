"""From fields as written to numbers: one model, every expression in it evaluated."""

from __future__ import annotations

import math
from functools import lru_cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, TypeVar

from gemel.documents import PlacedText, Strict, label_of
from gemel.families import codes
from gemel.families.expressions import FUNCTIONS, Fault, evaluate, parsed
from gemel.families.formula import Written, WrittenThread
from gemel.families.threads import is_thread, known_threads
from gemel.findings import Finding, Label, Span, did_you_mean
from gemel.numbers import Number, named, rule, sourced

if TYPE_CHECKING:
    from collections.abc import Container, Iterable, Mapping

__all__ = ["Settler", "checked", "finding_of", "number_of"]

MM_PER_INCH = rule(25.4, "mm per inch", "definition of the inch")
_FEET_PER_METRE = rule(0.3048, "metres per foot", "definition of the inch")
Model = TypeVar("Model", bound=Strict)
_PLAIN = frozenset({str, bool, PlacedText, type(None)})
"""Kinds of values that settling leaves as they are."""


def finding_of(fault: Fault, written: Written) -> Finding:
    """A fault of an expression at its place, as narrow as the offending word."""
    place = written.place
    at = place.text.find(fault.word) if fault.word else -1
    label = label_of(place)
    if at >= 0 and place.line:
        start = place.column + at
        label = Label(Span(place.file, place.line, start, start + len(fault.word)), fault.word)
    return fault.code.found(fault.cause, label, remedy=fault.remedy)


def number_of(
    written: Written, values: Mapping[str, float], known: Iterable[str] = (), elsewhere: Container[str] = ()
) -> Number:
    """The number of a field over `values`; a plain scalar is a leaf, an expression a named value of its field.

    `known` are further names that a misspelt one may have meant, `elsewhere` those to which other members give values.

    Raises:
        Fault: it is no expression, a name is unknown, or there is no such number.
    """
    if written.value is not None:
        return sourced(written.value, written.place)
    expression = parsed(written.text)
    for name in expression.names:
        if name not in values:
            if name in elsewhere:
                cause = f"this member gives no value for `{name}`, as others do"
                raise Fault(codes.MISSING_VALUE, cause, name)
            remedy = did_you_mean(name, {*values, *known, *FUNCTIONS})
            raise Fault(codes.UNKNOWN_NAME, f"there is no value `{name}`", name, remedy)
    number = evaluate(expression, values)
    if isinstance(number, Number):
        return number if expression.is_name else named(number, written.place)
    return sourced(number, written.place)


def checked(number: Number, written: Written) -> Number:
    """The number, which is finite and one that its field takes.

    Raises:
        Fault: it is not.
    """
    if not math.isfinite(number):
        raise Fault(codes.ARITHMETIC, f"`{written.text}` is too large to be a size")
    if not written.takes(number):
        raise Fault(codes.OUT_OF_BOUNDS, f"{written.place.name} must be {written.bounds}, it is {float(number):g}")
    return number


class Settler:
    """Settles the models of one document, or of one member; collects what cannot be settled.

    Attributes:
        values: what expressions may name.
        threads: the values that are threads.
        elsewhere: names to which other members give values.
        inch: whether lengths and surface speeds are in inches and feet.
        findings: the faults met so far.
    """

    def __init__(
        self,
        values: Mapping[str, float],
        *,
        inch: bool,
        threads: Mapping[str, str] = MappingProxyType({}),
        elsewhere: Container[str] = (),
    ) -> None:
        self.values = values
        self.threads = threads
        self.elsewhere = elsewhere
        self.inch = inch
        self.findings: list[Finding] = []

    def model(self, model: Model) -> Model:
        """The same model with numbers in place of what was written."""
        settled = {}
        for name, value in model.__dict__.items():
            kind = type(value)
            if kind is float:
                settled[name] = _default(type(model), name, value)
            elif kind not in _PLAIN:
                settled[name] = self._value(value)
        return model.model_copy(update=settled) if settled else model

    def number(self, written: Written) -> Number:
        """One field, converted to mm or m/min; 1 where it cannot be settled (a finding says why)."""
        try:
            number = checked(number_of(written, self.values, elsewhere=self.elsewhere), written)
        except Fault as fault:
            self.findings.append(finding_of(fault, written))
            return sourced(1.0, written.place)
        if self.inch and written.dimension == "length":
            return number * MM_PER_INCH
        if self.inch and written.dimension == "surface speed":
            return number * _FEET_PER_METRE
        return number

    def thread(self, written: WrittenThread) -> str:
        """The thread's name, with the place of whoever names it; `M5` where nobody does (a finding says why)."""
        name = self.threads.get(written.text)
        if name is not None:
            return name
        if is_thread(written.text):
            return PlacedText(written.text, written.place)
        cause = f"there is no thread `{written.text}`, and this member has no value of that name which is one"
        remedy = did_you_mean(written.text, {*self.threads, *known_threads()})
        self.findings.append(codes.UNKNOWN_THREAD.found(cause, label_of(written.place), remedy=remedy))
        return "M5"

    def _value(self, value: Any) -> Any:
        kind = type(value)
        if kind in _PLAIN:
            return value
        if kind is Written:
            return self.number(value)
        if kind is WrittenThread:
            return self.thread(value)
        if isinstance(value, Strict):
            return self.model(value)
        if isinstance(value, list):
            return [self._value(item) for item in value]
        if isinstance(value, dict):
            return {key: self._value(item) for key, item in value.items()}
        return value


@lru_cache(maxsize=1024)
def _default(model: type[Strict], name: str, value: float) -> Number:
    """What a field holds that nobody has written: a number that names the field."""
    return rule(value, f"default of `{model.model_fields[name].alias or name}`", "see the schema")
