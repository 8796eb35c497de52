"""Two versions of a formula side by side: line by line, stage by stage, as they are written."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

from smallhours.bakery.document import Document, text_name
from smallhours.bakery.formula.document import Formula, Line, Part, Stage
from smallhours.bakery.quantity import WRITERS

RowKind = Literal["formula", "part", "line", "stage", "output", "shaping"]
T = TypeVar("T")


@dataclass(frozen=True)
class Beside:
    """One thing that is written in either version.

    ``kind``: what it belongs to; ``place``: the id of the part, or the stage's number and key; ``what``: the key of an
    ingredient or the name of a field; ``before``, ``after``: as written, None where it is not there.
    """

    kind: RowKind
    place: str
    what: str
    before: str | None
    after: str | None

    @property
    def changed(self) -> bool:
        """Whether the two differ."""
        return self.before != self.after


def beside(old: Formula, new: Formula) -> tuple[Beside, ...]:
    """Everything that is written in one of two versions of a formula, in the order of the newer one."""
    rows = [
        *_fields("formula", "", old, new, ("id", "parts", "stages", "output", "shaping")),
        *_parts(old, new),
        *_fields("output", "", old.output, new.output),
        *_fields("shaping", "", old.shaping, new.shaping, ("sheet",)),
        *_fields("shaping", "sheet", old.shaping and old.shaping.sheet, new.shaping and new.shaping.sheet),
        *_stages(old, new),
    ]
    return tuple(rows)


def _parts(old: Formula, new: Formula) -> Iterator[Beside]:
    before, after = {part.id: part for part in old.parts}, {part.id: part for part in new.parts}
    for name in dict.fromkeys([*after, *before]):
        was, now = before.get(name), after.get(name)
        yield from _fields("part", name, was, now, ("id", "lines"))
        yield from _lines(name, was, now)


def _lines(place: str, old: Part | None, new: Part | None) -> Iterator[Beside]:
    """Lines of one ingredient are told together with the moment at which they go in."""
    before, after = _by_key(old), _by_key(new)
    for key in _merged(list(after), list(before)):
        yield Beside("line", place, key[0], before.get(key), after.get(key))


def _by_key(part: Part | None) -> dict[tuple[str, int, int], str]:
    told: dict[tuple[str, int, int], str] = {}
    for line in () if part is None else part.lines:
        key, again = (line.ingredient or line.part or "", line.addition), 1
        while (*key, again) in told:
            again += 1
        told[(*key, again)] = _line(line)
    return told


def _line(line: Line) -> str:
    amount = f"{line.percent:g} %" if line.percent is not None else ""
    amount = f"{line.flour_percent:g} % of the flour" if line.flour_percent is not None else amount
    amount = WRITERS["_g"](line.mass_g) if line.mass_g is not None else amount
    more = _told(line, ("ingredient", "part", "percent", "flour_percent", "mass_g"))
    return "; ".join([amount, *(f"{name}: {value}" for name, value in more.items())])


def _stages(old: Formula, new: Formula) -> Iterator[Beside]:
    before, after = _by_stage(old), _by_stage(new)
    for key in _merged(list(after), list(before)):
        was, now = before.get(key), after.get(key)
        yield from _fields("stage", f"{key[0]}: {key[1]}", was, now, ("kind", "part", "id"))


def _by_stage(formula: Formula) -> dict[tuple[str, str], Stage]:
    return {(stage.part or formula.main, stage.key): stage for stage in formula.stages}


def _fields(
    kind: RowKind, place: str, old: Document | None, new: Document | None, without: Sequence[str] = ()
) -> Iterator[Beside]:
    before, after = _told(old, without), _told(new, without)
    for name in _merged(list(after), list(before)):
        yield Beside(kind, place, name, before.get(name), after.get(name))


def _told(document: Document | None, without: Sequence[str]) -> dict[str, str]:
    """What a document says that is not what it would mean anyway, field by field."""
    if document is None:
        return {}
    told = {}
    for name, field in type(document).model_fields.items():
        value = getattr(document, name)
        if name not in without and value is not None and value != field.get_default(call_default_factory=True):
            told[text_name(name)] = _written(value, name)
    return told


def _written(value: object, name: str) -> str:
    suffix = name[len(text_name(name)) :]
    if isinstance(value, Document):
        return ", ".join(f"{key} {text}" for key, text in _told(value, ()).items())
    if isinstance(value, tuple):
        return "; ".join(_written(one, name) for one in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return WRITERS[suffix](value) if suffix in WRITERS else f"{value:g}"
    return str(value)


def _merged(first: list[T], second: list[T]) -> list[T]:
    """All of the first in their order, and those only in the second where they stood."""
    merged = list(first)
    for index, item in enumerate(second):
        if item not in merged:
            before = next((one for one in reversed(second[:index]) if one in merged), None)
            merged.insert(0 if before is None else merged.index(before) + 1, item)
    return merged
