"""The forms of the kitchen: from a document to fields, and from what was typed back, with a sentence a field."""

from __future__ import annotations

import zoneinfo
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import ValidationError

from smallhours.actions.tables.headings import loosened
from smallhours.bakery.document import text_name
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.kitchen.usual import USUAL
from smallhours.sheets.words import Speech
from smallhours.web.kitchen_fields import FieldSpec, Section
from smallhours.web.kitchen_rows import ROWS, read_rows, show_rows
from smallhours.web.typed import Typed

MOST_THINGS = 200


@dataclass
class Entry:
    """A field as the page shows it; ``rows`` for hours, breaks and the room's course."""

    spec: FieldSpec
    id: str
    value: str = ""
    fault: str = ""
    rows: list[list[Any]] = field(default_factory=list)


@dataclass
class Thing:
    """One mixer, oven ...: its fields; ``slug`` is empty for one that is being added."""

    number: int
    slug: str
    entries: list[Entry]
    removed: bool = False
    faults: tuple[str, ...] = ()

    @property
    def name(self) -> str:
        """What is typed as its name."""
        return next((entry.value for entry in self.entries if entry.spec.name == "name"), "")

    @property
    def count(self) -> int:
        """How many of its fields cannot be used."""
        in_rows = sum(bool(cell.fault) for entry in self.entries for row in entry.rows for cell in row)
        return sum(bool(entry.fault) for entry in self.entries) + in_rows + len(self.faults)


def held(section: Section, kitchen: Kitchen) -> list[dict[str, Any]]:
    """What a kitchen has of a section, in the JSON form."""
    data = kitchen.to_json_data()
    if section.many:
        return list(data.get(section.key, []))
    return [data if section.model is Kitchen else data[section.key]]


def shown(section: Section, things: Iterable[Mapping[str, Any]], speech: Speech) -> list[Thing]:
    """Things as a form."""
    return [_shown(section, number, thing, speech) for number, thing in enumerate(things)]


def fresh(section: Section, number: int, speech: Speech) -> Thing:
    """One more, as such a thing usually is, without a name."""
    return _shown(section, number, USUAL[section.key], speech)


def read(section: Section, typed: Typed, kitchen: Kitchen) -> tuple[list[Thing], list[dict[str, Any]]]:
    """What was typed as a form again, and as data (complete only if the form has no faults).

    ``kitchen``: what the page showed; what no form asks for stays as it is there. Raises ValueError for a form that no
    page of ours has made.
    """
    count = int(typed.raw("things") or "1")
    if not 0 <= count <= MOST_THINGS:
        raise ValueError("more things than a kitchen has")
    former = {str(thing.get("id", "")): thing for thing in held(section, kitchen)}
    taken = _all_ids(kitchen)
    things, found = [], []
    for number in range(count):
        slug = typed.raw(f"i{number}-id") if section.many else next(iter(former))
        if slug and slug not in former:
            raise ValueError("a thing that was not on the page")
        removed = section.many and f"i{number}-remove" in typed.posted
        data = _read(section, number, typed, former.get(slug, USUAL.get(section.key, {})))
        if section.many and not removed:
            data["id"] = slug or _new_id(str(data.get("name", "")), section.key, taken)
            taken.add(data["id"])
        faults = () if removed else _check(section, number, data, typed)
        thing = _as_typed(section, number, slug, typed, removed)
        thing.faults = faults
        things.append(thing)
        if not removed:
            found.append(data)
    return things, found


def _shown(section: Section, number: int, thing: Mapping[str, Any], speech: Speech) -> Thing:
    entries = []
    for spec in section.specs:
        entry = Entry(spec, f"i{number}-{spec.word}")
        value = thing.get(spec.name)
        if spec.kind in ROWS:
            entry.rows = show_rows(spec.kind, entry.id, value or (), speech)
        else:
            entry.value = _text(spec, value, speech)
        entries.append(entry)
    return Thing(number, str(thing.get("id", "")) if section.many else "", entries)


def _text(spec: FieldSpec, value: Any, speech: Speech) -> str:
    """A value as it stands in its field, with the language's decimal mark and without thousands marks."""
    if value is None:
        return ""
    if spec.kind == "decks":
        return ", ".join(str(deck["tray_places"]) for deck in value)
    if spec.kind == "numbers":
        return "; ".join(_number(one, speech) for one in value)
    if spec.kind == "flag":
        return "on" if value else ""
    if spec.kind == "number":
        return _number(value / spec.factor, speech)
    return str(value)


def _number(value: float, speech: Speech) -> str:
    return f"{round(value, 4):.4f}".rstrip("0").rstrip(".").replace(".", speech.texts["format.decimal"])


def _as_typed(section: Section, number: int, slug: str, typed: Typed, removed: bool) -> Thing:
    entries = []
    for spec in section.specs:
        entry = Entry(spec, f"i{number}-{spec.word}", typed.raw(f"i{number}-{spec.word}"))
        entry.fault = "" if removed else typed.faults.get(entry.id, "")
        if spec.kind in ROWS:
            entry.rows = read_rows(spec.kind, entry.id, typed)[0]
        entries.append(entry)
    return Thing(number, slug, entries, removed)


def _read(section: Section, number: int, typed: Typed, former: Mapping[str, Any]) -> dict[str, Any]:
    data = dict(former)
    for spec in section.specs:
        value = _value(spec, f"i{number}-{spec.word}", typed, former)
        data.pop(spec.name, None)
        if value is not None:
            data[spec.name] = value
    return data


def _value(spec: FieldSpec, name: str, typed: Typed, former: Mapping[str, Any]) -> Any:
    match spec.kind:
        case "text":
            return typed.text(name, spec.needed, 100)
        case "choice":
            return typed.choice(name, spec.choices)
        case "zone":
            return typed.choice(name, zoneinfo.available_timezones())
        case "flag":
            return bool(typed.raw(name))
        case "whole":
            return typed.whole(name, 0, 100_000, spec.needed)
        case "number":
            return typed.quantity(name, spec.unit, spec.factor, spec.written, spec.needed)
        case "numbers":
            return typed.numbers(name, spec.unit)
        case "decks":
            return _decks(name, typed, former.get("decks", ()))
        case _:
            return _in_their_order(read_rows(spec.kind, name, typed)[1], former.get(spec.name, ()))


def _in_their_order(rows: list[dict[str, Any]], former: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Rows with their weekdays in the order in which they were written, where they are the same."""
    for row in rows:
        if "days" in row:
            alike = (one["days"] for one in former if {**one, "days": 0} == {**row, "days": 0})
            row["days"] = next((list(days) for days in alike if set(days) == set(row["days"])), row["days"])
    return rows


def _decks(name: str, typed: Typed, former: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]] | None:
    """Tray places of each deck, parted by commas; decks that were there keep their names."""
    places = typed.numbers(name, "", commas=True)
    if places is None:
        return None
    if not all(p == int(p) and 1 <= p <= 200 for p in places) or len(places) > 20:
        typed.fault(name, "decks", found=typed.raw(name)[:40])
        return None
    names = [str(deck["id"]) for deck in former][: len(places)]
    for number in range(1, 41):
        if len(names) < len(places) and str(number) not in names:
            names.append(str(number))
    return [{"id": deck, "tray_places": int(p)} for deck, p in zip(names, places, strict=True)]


def _check(section: Section, number: int, data: Mapping[str, Any], typed: Typed) -> tuple[str, ...]:
    """Say beside the fields what the document does not take; what concerns the whole thing is given back."""
    try:
        document = section.model.model_validate(data)
    except ValidationError as error:
        rest = []
        for one in error.errors(include_url=False):
            spec = next((s for s in section.specs if one["loc"] and _means(s, one["loc"][0])), None)
            if spec is None:
                rest.append(str(one["msg"]))
            elif one["type"] != "missing":  # said already: nothing usable was typed
                key, values = _limit(spec, one, typed.speech)
                typed.fault(f"i{number}-{spec.word}", key, **values)
        return tuple(rest)
    if any(name.startswith(f"i{number}-") for name in typed.faults):
        return ()
    return tuple(fault.what for fault in document.faults()) if section.many else ()


def _means(spec: FieldSpec, place: object) -> bool:
    return place in (spec.name, text_name(spec.name))


_LIMITS = {
    "greater_than": ("more", "gt"),
    "greater_than_equal": ("at-least", "ge"),
    "less_than": ("less", "lt"),
    "less_than_equal": ("at-most", "le"),
}


def _limit(spec: FieldSpec, error: Any, speech: Speech) -> tuple[str, dict[str, object]]:
    if error["type"] in _LIMITS and len(error["loc"]) == 1:
        key, bound = _LIMITS[error["type"]]
        limit = _number(error["ctx"][bound] / spec.factor, speech)
        return key, {"limit": f"{limit}\u00a0{spec.unit}".strip()}
    return "wrong", {"found": str(error["input"])[:40]}


def _new_id(name: str, section: str, taken: set[str]) -> str:
    """An id that nothing in the kitchen has, out of the name where it has letters for one."""
    stem = loosened(name).replace(" ", "-")[:50] or section
    return next(i for n in range(1, len(taken) + 2) if (i := stem if n == 1 else f"{stem}-{n}") not in taken)


def _all_ids(kitchen: Kitchen) -> set[str]:
    data = kitchen.to_json_data()
    return {str(thing["id"]) for key in USUAL for thing in data.get(key, [])}
