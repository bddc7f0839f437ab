"""A composed document against a schema: the model, or every fault with its place."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, TypeVar, get_args

from pydantic import BaseModel, ConfigDict, ValidationError

from gemel.documents import codes
from gemel.findings import Finding, Findings, Label, Span, did_you_mean

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

    from gemel.documents.compose import Document

__all__ = ["Strict", "validate"]

Model = TypeVar("Model", bound=BaseModel)
Path = tuple[str | int, ...]


class Strict(BaseModel):
    """A mapping in which every key is known and every value is of its kind; frozen once read."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, arbitrary_types_allowed=True)


def validate(model: type[Model], document: Document) -> Model:
    """The document as `model`.

    Raises:
        Findings: every fault of the document, each with its place, the offending text and what was expected.
    """
    try:
        return model.model_validate(document.value)
    except ValidationError as error:
        found = [_finding(detail, document, model) for detail in error.errors(include_url=False)]
        raise Findings(list(dict.fromkeys(found))) from None


def _finding(detail: ErrorDetails, document: Document, model: type[BaseModel]) -> Finding:
    path, missing = _known_path(detail["loc"], document)
    kind = detail["type"]
    if kind == "extra_forbidden":
        key = str(detail["loc"][-1])
        span = document.places.get((*path[:-1], key, "key")) or document.places[path]
        remedy = did_you_mean(key, _fields_at(detail["loc"][:-1], model))
        return codes.UNKNOWN_KEY.found(f"`{key}` has no meaning here", Label(span, key), remedy=remedy)
    span = document.places.get(path, Span(document.file))
    where = ".".join(str(p) for p in path) or "the document"
    if kind in ("missing", "union_tag_not_found"):
        # Tags of unions stand in the location too; the last part is the key itself.
        key = str(missing[-1]) if kind == "missing" and missing else _context(detail, "discriminator")
        return codes.VALUE.found(f"`{key}` is missing in {where}", Label(span), remedy=f"add `{key}:`")
    if kind == "union_tag_invalid":
        key, given = _context(detail, "discriminator"), _context(detail, "tag")
        span = document.places.get((*path, key), span)
        cause = f"`{given}` is no {key} of {'.'.join(str(p) for p in path[:-1])}"
        return codes.VALUE.found(cause, Label(span, given), remedy=_choices(detail, "expected_tags", given))
    given = _given(detail["input"])
    if kind == "literal_error":
        shown = str(detail["input"])
        cause = f"{where}: {given} is not one of the words it takes"
        return codes.VALUE.found(cause, Label(span, shown), remedy=_choices(detail, "expected", shown))
    cause = f"{where}: {_expected(detail)}"
    return codes.VALUE.found(f"{cause}; given: {given}" if given else cause, Label(span, given))


def _context(detail: ErrorDetails, key: str) -> str:
    return str(detail.get("ctx", {}).get(key, "")).strip("'")


def _choices(detail: ErrorDetails, key: str, given: str) -> str:
    return did_you_mean(given, re.findall(r"'([^']*)'", str(detail.get("ctx", {}).get(key, ""))))


def _known_path(location: Path, document: Document) -> tuple[Path, Path]:
    """The longest part of a location that stands in the document, and what is left (tags of unions are passed over)."""
    path: Path = ()
    left: list[str | int] = []
    for part in location:
        if (*path, part) in document.places:
            path = (*path, part)
            left.clear()
        else:
            left.append(part)
    return path, tuple(left)


def _fields_at(location: Path, model: type[BaseModel]) -> list[str]:
    """The keys that the schema knows at a location; walks models, containers and unions."""
    here: list[Any] = [model]
    for part in location:
        following: list[Any] = []
        for kind in here:
            following.extend(_step(kind, part))
        here = following or here
    return sorted({key for kind in here if _is_model(kind) for key in _keys(kind)})


def _step(kind: Any, part: str | int) -> list[Any]:
    if not _is_model(kind):
        return []
    for name, info in kind.model_fields.items():
        if (info.alias or name) == part:
            return _models_in(info.annotation)
    return [kind] if any(part in get_args(info.annotation) for info in kind.model_fields.values()) else []


def _models_in(annotation: Any) -> list[Any]:
    if _is_model(annotation):
        return [annotation]
    return [model for arg in get_args(annotation) for model in _models_in(arg)]


def _is_model(kind: Any) -> bool:
    return isinstance(kind, type) and issubclass(kind, BaseModel)


def _keys(kind: type[BaseModel]) -> list[str]:
    return [info.alias or name for name, info in kind.model_fields.items()]


def _given(value: Any) -> str:
    if isinstance(value, dict | list):
        return "a mapping" if isinstance(value, dict) else "a list"
    return "nothing" if value is None else f"`{value}`"


_WANTED = {
    "string_type": "expected a text",
    "int_type": "expected a whole number",
    "float_type": "expected a number",
    "bool_type": "expected true or false",
    "dict_type": "expected a mapping",
    "model_type": "expected a mapping",
    "model_attributes_type": "expected a mapping",
    "list_type": "expected a list",
    "tuple_type": "expected a list",
    "none_required": "expected nothing",
}


def _expected(detail: ErrorDetails) -> str:
    message = detail["msg"].removeprefix("Value error, ")
    return _WANTED.get(detail["type"], message[:1].lower() + message[1:])
