"""Reading a plan that somebody hands over: JSON that is one plan of this schema, or a sentence that says why not."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any, NoReturn

from pydantic import ValidationError

from smallhours.errors import DocumentError, Fault
from smallhours.planning.plan import PLAN_SCHEMA, Plan

LARGEST_BYTES = 64 * 1024 * 1024
_MOST_FAULTS = 10
_FAMILY = PLAN_SCHEMA.split("/")[0]


def read_plan(data: bytes, source: str) -> Plan:
    """The plan in a JSON text.

    Raises: DocumentError for what is no text in UTF-8, no JSON (with line and column), no plan, a plan of another
    schema, one with fields that are missing, unknown or of the wrong kind, or with numbers that are not finite; for
    more than ``LARGEST_BYTES``.
    """
    if len(data) > LARGEST_BYTES:
        _refuse(source, too_large(len(data)))
    try:
        found = json.loads(
            data.decode("utf-8-sig"), parse_constant=_not_finite, parse_float=_finite, object_pairs_hook=_once
        )
    except UnicodeDecodeError as error:
        _refuse(source, f"is no text in UTF-8 (byte {error.start + 1} is {data[error.start]:#04x})")
    except json.JSONDecodeError as error:
        at = f"at line {error.lineno}, column {error.colno}"
        _refuse(source, f"is no valid JSON: {error.msg} ({at}); it may have been cut off")
    except RecursionError:
        _refuse(source, "is no plan: it is nested too deep")
    except ValueError as error:
        _refuse(source, f"is no plan: {error}")
    return _plan(found, source)


def too_large(size: int) -> str:
    """What is wrong with a file of so many bytes."""
    return f"has {size / 1e6:.0f} MB; a plan has {LARGEST_BYTES / 1e6:.0f} MB at most"


def _plan(found: object, source: str) -> Plan:
    if not isinstance(found, Mapping):
        _refuse(source, "is no plan: it must hold one object in braces, as the command plan writes it with --json")
    schema = found.get("schema_name")
    if schema != PLAN_SCHEMA:
        if isinstance(schema, str) and schema.split("/")[0] == _FAMILY:
            _refuse(source, f"is a plan of the schema {schema!r}; this program reads {PLAN_SCHEMA!r}")
        named = f"it calls itself {schema!r}" if isinstance(schema, str) else "it has no schema_name"
        _refuse(source, f"is no plan: {named}, a plan {PLAN_SCHEMA!r}")
    try:
        return Plan.model_validate_json(json.dumps(found), strict=True)
    except ValidationError as error:
        raise DocumentError(source, _faults(error.errors(include_url=False))) from None


def _faults(errors: Sequence[Any]) -> list[Fault]:
    told = [Fault(_where(e["loc"]), f"{e['msg'][:1].lower()}{e['msg'][1:]}{_found(e)}") for e in errors[:_MOST_FAULTS]]
    if len(errors) > _MOST_FAULTS:
        told.append(Fault("", f"{len(errors) - _MOST_FAULTS} more faults of this kind"))
    return told


def _where(steps: Sequence[str | int]) -> str:
    where = ""
    for step in steps:
        where += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if where else str(step)
    return where


def _found(error: Mapping[str, Any]) -> str:
    plain = isinstance(error["input"], str | int | float | bool | None)
    return f" (found {str(error['input'])[:60]!r})" if plain and error["type"] != "missing" else ""


def _not_finite(word: str) -> NoReturn:
    raise ValueError(f"it holds {word}, and every number in a plan is finite")


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(f"it holds {text[:40]}, and every number in a plan is finite")
    return value


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise ValueError(f"one of its objects has {twice!r} twice")
    return found


def _refuse(source: str, what: str) -> NoReturn:
    raise DocumentError(source, [Fault("", what)])
