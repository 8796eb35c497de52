"""Where in the form a fault of a document belongs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from smallhours.bakery.document import text_name
from smallhours.web.formula_form import rows
from smallhours.web.formula_form.kinds import Texts

_PATH = re.compile(r"(\w+)(?:\[(\d+)\])?")
_ROW = re.compile(r"([ps])(\d{1,3})-(?:([lw])(\d{1,3})-|uses-(.+))?", re.ASCII)
_SPECS = {
    "p": rows.PART,
    "l": rows.LINE,
    "s": rows.STAGE,
    "w": rows.WAY,
    "output": rows.OUTPUT,
    "shaping": rows.SHAPING,
    "sheet": rows.SHEET,
}


@dataclass(frozen=True)
class Index:
    """Which rows are in a form: numbers by the beginning of their names ("p", "p2-l"); the parts each stage uses."""

    numbers: Mapping[str, list[int]]
    uses: Mapping[str, list[str]]

    def __getitem__(self, beginning: str) -> list[int]:
        """The numbers of the rows that begin so, in order."""
        return self.numbers.get(beginning, [])


def rows_of(texts: Texts) -> Index:
    """The rows in a form, read once."""
    numbers: dict[str, set[int]] = {}
    uses: dict[str, list[str]] = {}
    for name in texts:
        if found := _ROW.match(name):
            letter, number, inner, inner_number, part = found.groups()
            numbers.setdefault(letter, set()).add(int(number))
            if inner:
                numbers.setdefault(f"{letter}{int(number)}-{inner}", set()).add(int(inner_number))
            if part:
                uses.setdefault(f"{letter}{int(number)}-", []).append(part)
    return Index({beginning: sorted(found) for beginning, found in numbers.items()}, uses)


def field_of(where: str, texts: Texts, index: Index, data: Mapping[str, Any]) -> str:
    """The name of the field that a fault's place speaks of; empty if it is of the whole."""
    named = _by_words(where, texts, index, data) if " " in where else _by_path(where, texts, index)
    return named if named in texts or named.split("-")[0] in ("name", "pan", "fresh", "id", "out", "sheet") else ""


def _by_path(where: str, texts: Texts, index: Index) -> str:
    """A place like ``parts[1].lines[3].percent``: what stands in the document counts only what is filled in."""
    steps = [(name, int(number) - 1 if number else None) for name, number in _PATH.findall(where)]
    prefix, row, last = "", "", ""
    for name, number in steps:
        kind = {"parts": "p", "lines": "l", "stages": "s", "instead": "w"}.get(name)
        if kind is not None and number is not None:
            there = [m for m in index[f"{prefix}{kind}"] if kind != "l" or _filled(texts, f"{prefix}l{m}-")]
            if number >= len(there):
                return ""
            prefix, row = f"{prefix}{kind}{there[number]}-", kind
        elif name in ("output", "shaping", "sheet"):
            prefix, row = {"output": "out-", "shaping": "shape-", "sheet": "sheet-"}[name], name
        else:
            last = name
    return _named(prefix, row, last)


def _by_words(where: str, texts: Texts, index: Index, data: Mapping[str, Any]) -> str:
    """A place like ``part 'filling', line 2 (sugar)`` or ``stage 3 (mix), min``."""
    part = re.match(r"part '([^']*)'(?:, (?:line (\d+)|(\w+)))?", where)
    if part:
        number = next((n for n, one in enumerate(data.get("parts", ())) if one.get("id") == part[1]), None)
        if number is None:
            return ""
        path = f"parts[{number + 1}]" + (f".lines[{part[2]}].percent" if part[2] else f".{part[3] or 'name'}")
        return _by_path(path, texts, index)
    stage = re.match(r"stage (\d+) \([^)]*\), (?:instead|(\w*))", where)
    if stage:
        return _by_path(f"stages[{stage[1]}].{stage[2] or 'duration'}", texts, index)
    named = re.match(r"stage '([^']*)'", where)
    if named:
        stages = data.get("stages", ())
        number = next((n for n, one in enumerate(stages) if (one.get("id") or one.get("kind")) == named[1]), None)
        return "" if number is None else _by_path(f"stages[{number + 1}].part", texts, index)
    return ""


def _named(prefix: str, row: str, field: str) -> str:
    """The name in the form of a field of the document."""
    if row == "l" and field in ("percent", "mass", "mass_g", "flour_percent", ""):
        return f"{prefix}amount"
    if row == "l" and field in ("ingredient", "part"):
        return f"{prefix}what"
    if row == "output" and field in ("piece_mass", "piece_mass_g", "baked_mass", "baked_mass_g", ""):
        return f"{prefix}mass"
    if row == "p" and field.startswith(("ratio", "mass_per")):
        return f"{prefix}amount"
    for spec in _SPECS.get(row, rows.FORMULA):
        if field in (spec.field, text_name(spec.field)):
            return prefix + spec.name
    return prefix + field


def _filled(texts: Texts, at: str) -> bool:
    return bool(texts.get(at + "what", "").strip() or texts.get(at + "amount", "").strip())
