"""Documents: validated, frozen, written as TOML, described by JSON Schema; all faults reported at once.

In the text form a field is named without its unit and its value carries one (``duration = "2 h"``); in JSON
the unit ends the name and the value is a plain number (``"duration_s": 7200``). Both forms read back to the
same document.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Annotated, Any, Self

from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError, model_validator

from smallhours.bakery.quantity import WRITERS
from smallhours.bakery.toml_text import toml_text
from smallhours.errors import DocumentError, Fault

Slug = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=500)]


def text_name(field_name: str) -> str:
    """The name of a field in the text form: without its unit."""
    for suffix in WRITERS:
        if field_name.endswith(suffix):
            return field_name.removesuffix(suffix)
    return field_name


class Document(BaseModel):
    """Base of everything a baker writes down and the program reads."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, alias_generator=text_name)

    @model_validator(mode="before")
    @classmethod
    def _units_are_written(cls, data: Any) -> Any:
        """``duration = 90`` would be seconds to us and minutes to her: ask for the unit."""
        if not isinstance(data, Mapping):
            return data
        for name in cls.model_fields:
            short = text_name(name)
            value = data.get(short) if short != name else None
            if isinstance(value, int | float) and not isinstance(value, bool) and value != 0:
                raise ValueError(f"{short} = {value} has no unit: write it with one, or use {name}")
        return data

    @classmethod
    def read(cls, data: Mapping[str, Any], source: str) -> Self:
        """The document in ``data``. Raises DocumentError with every fault found."""
        try:
            document = cls.model_validate(data)
        except ValidationError as error:
            raise DocumentError(source, [_fault(e) for e in _told(error.errors(include_url=False))]) from None
        faults = list(document.faults())
        if faults:
            raise DocumentError(source, faults)
        return document

    @classmethod
    def read_toml(cls, text: str, source: str) -> Self:
        """The document in a TOML text. Raises DocumentError (with line and column for a syntax error)."""
        return cls.read(parse_toml(text, source), source)

    def faults(self) -> Iterable[Fault]:
        """What does not hold together beyond single fields; documents override this."""
        return ()

    def to_json_data(self) -> dict[str, Any]:
        """Plain data with units in the names; what is not set is left out."""
        return self.model_dump(mode="json", exclude_none=True)

    def to_toml(self) -> str:
        """The TOML text form; reads back to an equal document."""
        return toml_text(_written(self))

    @classmethod
    def json_schema(cls) -> dict[str, Any]:
        """The JSON Schema of the text form (TOML and JSON share it)."""
        return cls.model_json_schema(by_alias=True)


def parse_toml(text: str, source: str) -> dict[str, Any]:
    """Plain data from TOML. Raises DocumentError naming line and column of a syntax error."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        lines = text.split("\n")  # the parser names line and column, except at the very end
        at_end = f"(at line {len(lines)}, column {len(lines[-1]) + 1})"
        told = str(error).replace("(at end of document)", at_end)
        raise DocumentError(source, [Fault("", f"not valid TOML: {told}")]) from None


def _written(document: Document) -> dict[str, Any]:
    written: dict[str, Any] = {}
    for name, field in type(document).model_fields.items():
        value = getattr(document, name)
        if value is None or value == field.get_default(call_default_factory=True):
            continue
        suffix = name[len(text_name(name)) :]
        written[text_name(name)] = _plain(value, suffix)
    return written


def _plain(value: Any, suffix: str) -> Any:
    if isinstance(value, Document):
        return _written(value)
    if isinstance(value, tuple | list):
        return [_plain(item, suffix) for item in value]
    if isinstance(value, Mapping):
        return {key: _plain(item, suffix) for key, item in value.items()}
    if suffix and isinstance(value, int | float):
        return WRITERS[suffix](value)
    if isinstance(value, Decimal):
        return _decimal(value)
    return value


def _decimal(value: Decimal) -> str:
    """Two decimals, or as many more as it has; in quotes, because a bare number would be read as a binary fraction."""
    whole, _, decimals = f"{value:f}".partition(".")
    return f"{whole}.{decimals.rstrip('0'):0<2}"


_SENTENCES = {
    "missing": "is missing",
    "extra_forbidden": "is not a field of this document",
    "greater_than": "must be greater than {gt:g}",
    "greater_than_equal": "must be {ge:g} or more",
    "less_than": "must be less than {lt:g}",
    "less_than_equal": "must be {le:g} or less",
    "finite_number": "must be a finite number",
    "literal_error": "must be {expected}",
    "too_short": "must hold at least {min_length}",
    "string_pattern_mismatch": "must be lower-case words joined by hyphens, like 'milk-loaf'",
}


def _told(errors: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """The errors without those that only follow from others: a list is not empty because its items are faulty."""
    inside = {tuple(e["loc"][:n]) for e in errors for n in range(len(e["loc"]))}
    return [e for e in errors if not (e["type"] == "too_short" and tuple(e["loc"]) in inside)]


def _fault(error: Mapping[str, Any]) -> Fault:
    where = ""
    for step in error["loc"]:
        where += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if where else str(step)
    sentence = _SENTENCES.get(error["type"])
    if sentence is None:
        what = str(error["msg"]).removeprefix("Value error, ")
    else:
        what = sentence.format(**error.get("ctx", {}))
        if error["type"] not in ("missing", "extra_forbidden"):
            what += f" (found {error['input']!r})"
    return Fault(where, what)


__all__ = ["Document", "Field", "Slug", "Words", "parse_toml", "text_name"]
