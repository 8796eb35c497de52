"""The one reader of the reference tables: a CSV file proof-read against the TOML file that stands beside it.

The side-car says for each column what it holds: a number with its unit and plausible range (one range, or one per
group of rows), a word from a list, several words, a yes or no, a code or free text; whether it may stay empty and
what that means; which column it cannot exceed (``at_most``, with the ``slack`` of two published figures); and where
its numbers come from. A slipped decimal, an unknown word or an unknown source is refused with file, line, column and
what was found.
"""

from __future__ import annotations

import csv
import math
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from smallhours.errors import DocumentError, Fault, NotFound

TABLES = Path(__file__).parent / "tables"
Cell = str | float | bool | tuple[str, ...] | None
Row = Mapping[str, Cell]
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
SOURCE_KINDS = ("read", "memory", "trade", "derived", "judgement")
_TYPES = ("number", "word", "words", "flag", "slug", "code", "text", "source")


@dataclass(frozen=True)
class Source:
    """A place that numbers come from. ``kind``: read, memory, trade (common practice), derived or judgement."""

    id: str
    title: str
    place: str
    kind: str
    note: str = ""


@dataclass(frozen=True)
class Column:
    """What a column holds. ``plausible`` maps a group of rows (``"*"``: all others) to the lowest and highest value."""

    name: str
    type: str
    unit: str
    source: str
    empty: str | None = None
    plausible: Mapping[str, tuple[float, float]] = field(default_factory=dict)
    one_of: frozenset[str] = frozenset()
    pattern: str = ""
    at_most: str = ""
    slack: float = 0.0
    refers_to: str = ""
    note: str = ""

    def range_for(self, group: str) -> tuple[float, float] | None:
        """The lowest and highest plausible value for rows of a group."""
        return self.plausible.get(group) or self.plausible.get("*")


@dataclass(frozen=True)
class Sum:
    """Columns of a row that must add up to a range; ``exceptions`` names rows with a range of their own."""

    name: str
    columns: tuple[str, ...]
    plausible: tuple[float, float]
    exceptions: Mapping[str, tuple[float, float]]


@dataclass(frozen=True)
class Table:
    """A proof-read table. ``rows`` are in the file's order; a cell is None where the file is empty."""

    name: str
    title: str
    key: tuple[str, ...]
    licence: str
    citation: str
    note: str
    columns: Mapping[str, Column]
    rows: tuple[Row, ...]

    def row(self, *key: str) -> Row:
        """The row with this key.

        Raises NotFound if there is none.
        """
        for row in self.rows:
            if tuple(row[name] for name in self.key) == key:
                return row
        known = ", ".join("/".join(str(row[name]) for name in self.key) for row in self.rows[:12])
        raise NotFound(f"table {self.name!r} has no row {'/'.join(key)!r}; it has {known}")


@cache
def sources() -> Mapping[str, Source]:
    """Every source of the tables, by id."""
    return read_sources(Path(__file__).parent / "sources.toml")


def read_sources(path: Path) -> Mapping[str, Source]:
    """The sources written in a TOML file.

    Raises DocumentError for a source without title or place, or of an unknown kind.
    """
    raw = tomllib.loads(path.read_text(encoding="utf-8"))
    faults = []
    for name, said in raw.items():
        if not said.get("title") or not said.get("place"):
            faults.append(Fault(f"source {name!r}", "needs a title and a place"))
        if said.get("kind") not in SOURCE_KINDS:
            found = said.get("kind")
            faults.append(Fault(f"source {name!r}", f"kind is {found!r}, not one of {', '.join(SOURCE_KINDS)}"))
    if faults:
        raise DocumentError(path.name, faults)
    return {k: Source(k, v["title"], v["place"], v["kind"], v.get("note", "")) for k, v in raw.items()}


@cache
def table(name: str) -> Table:
    """The reference table of this name, read once.

    Raises NotFound if there is no such table, DocumentError if it does not pass its proof-reading.
    """
    path = TABLES / f"{name}.csv"
    if not path.is_file():
        raise NotFound(f"there is no reference table {name!r}; there are {', '.join(table_names())}")
    return read_table(path, sources())


def table_names() -> tuple[str, ...]:
    """The names of all reference tables."""
    return tuple(sorted(path.stem for path in TABLES.glob("*.csv")))


def read_table(path: Path, known_sources: Mapping[str, Source]) -> Table:
    """Read and proof-read a CSV file with its side-car (same name, ``.toml``).

    Raises DocumentError naming every fault by line, column and value.
    """
    said = tomllib.loads(path.with_suffix(".toml").read_text(encoding="utf-8"))
    columns = {name: _column(name, raw, said.get("source", "")) for name, raw in said.get("column", {}).items()}
    sums = [_sum(raw) for raw in said.get("sum", ())]
    key, group = tuple(said.get("key", ())), said.get("group", "")
    faults = list(_sidecar_faults(path, said, columns, known_sources))
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.reader(file)
        header = next(reader, [])
        if header != list(columns):
            faults.append(Fault(f"{path.name} line 1", f"columns are {header}; the side-car describes {list(columns)}"))
        if faults:
            raise DocumentError(path.name, faults)
        rows: list[Row] = []
        seen: dict[tuple[Cell, ...], int] = {}
        for cells in reader:
            line = reader.line_num
            if len(cells) != len(header):
                faults.append(Fault(f"line {line}", f"has {len(cells)} cells, expected {len(header)}"))
                continue
            row, wrong = _row(dict(zip(header, cells, strict=True)), columns, group, sums, key, known_sources)
            faults.extend(Fault(f"line {line}, {where}", what) for where, what in wrong)
            own = tuple(row[name] for name in key)
            if own in seen:
                faults.append(Fault(f"line {line}", f"{'/'.join(map(str, own))!r} is already in line {seen[own]}"))
            seen[own] = line
            rows.append(row)
    if faults:
        raise DocumentError(path.name, faults)
    texts = [said.get(name, "") for name in ("title", "licence", "citation", "note")]
    return Table(path.stem, texts[0], key, texts[1], texts[2], texts[3], columns, tuple(rows))


def _pair(raw: Sequence[float]) -> tuple[float, float]:
    return float(raw[0]), float(raw[1])


def _column(name: str, raw: Mapping[str, Any], source: str) -> Column:
    spread = raw.get("plausible", {})
    ranges = {"*": _pair(spread)} if isinstance(spread, list) else {k: _pair(v) for k, v in spread.items()}
    rest = {k: raw[k] for k in ("empty", "pattern", "at_most", "slack", "refers_to", "note") if k in raw}
    return Column(
        name,
        raw.get("type", "number"),
        raw.get("unit", ""),
        raw.get("source", source),
        plausible=ranges,
        one_of=frozenset(raw.get("one_of", ())),
        **rest,
    )


def _sum(raw: Mapping[str, Any]) -> Sum:
    exceptions = {k: _pair(v) for k, v in raw.get("except", {}).items()}
    return Sum(raw["name"], tuple(raw["columns"]), _pair(raw["plausible"]), exceptions)


def _sidecar_faults(
    path: Path, said: Mapping[str, Any], columns: Mapping[str, Column], known_sources: Mapping[str, Source]
) -> list[Fault]:
    where = path.with_suffix(".toml").name
    faults = [Fault(where, f"does not say its {name}") for name in ("title", "key", "licence") if not said.get(name)]
    faults += [Fault(where, f"key column {k!r} is not described") for k in said.get("key", ()) if k not in columns]
    for column in columns.values():
        at = f"{where} column {column.name}"
        if column.type not in _TYPES:
            faults.append(Fault(at, f"type is {column.type!r}; would be one of {', '.join(_TYPES)}"))
        if column.type == "number" and not (column.unit and column.plausible):
            faults.append(Fault(at, "a number needs a unit and a plausible range"))
        if not column.source and not any(c.type == "source" for c in columns.values()):
            faults.append(Fault(at, "says no source"))
        if column.source and column.source not in known_sources:
            faults.append(Fault(at, f"source {column.source!r} is not in sources.toml"))
    return faults


Wrong = tuple[str, str]


def _row(
    cells: Mapping[str, str],
    columns: Mapping[str, Column],
    group: str,
    sums: Sequence[Sum],
    key: Sequence[str],
    known_sources: Mapping[str, Source],
) -> tuple[Row, list[Wrong]]:
    own_group = cells.get(group, "*")
    row: dict[str, Cell] = {}
    wrong: list[Wrong] = []
    for name, text in cells.items():
        row[name], fault = _cell(text.strip(), columns[name], own_group, known_sources)
        if fault:
            wrong.append((f"column {name}", fault))
    for name, column in columns.items():
        value, bound = row[name], row.get(column.at_most)
        if isinstance(value, float) and isinstance(bound, float) and value > bound + column.slack:
            wrong.append((f"column {name}", f"found {value:g}, more than {column.at_most} {bound:g}"))
    for rule in sums:
        low, high = rule.exceptions.get("/".join(str(row[k]) for k in key), rule.plausible)
        total = sum(float(v) for c in rule.columns if isinstance(v := row[c], float))
        if not low <= total <= high:
            wrong.append((f"columns {', '.join(rule.columns)}", f"add up to {total:g}, expected {low:g} to {high:g}"))
    return row, wrong


def _cell(text: str, column: Column, group: str, known_sources: Mapping[str, Source]) -> tuple[Cell, str]:
    """The value of a cell, and what is wrong with it (empty if nothing)."""
    if text == "":
        return (() if column.type == "words" else None), "" if column.empty is not None else "is empty"
    if column.type == "number":
        return _number(text, column, group)
    if column.type == "flag":
        return text == "yes", "" if text in ("yes", "no") else f"found {text!r}, expected yes or no"
    if column.type == "words":
        words = tuple(text.split(";"))
        unknown = [w for w in words if w not in column.one_of]
        return words, f"found {', '.join(unknown)}, expected {', '.join(sorted(column.one_of))}" if unknown else ""
    if column.type == "word" and text not in column.one_of:
        return text, f"found {text!r}, expected one of {', '.join(sorted(column.one_of))}"
    if column.type == "source" and text not in known_sources:
        return text, f"source {text!r} is not in sources.toml"
    if column.type == "slug" and not _SLUG.fullmatch(text):
        return text, f"found {text!r}, expected lower-case words joined by hyphens"
    if column.type == "code" and not re.fullmatch(column.pattern, text):
        return text, f"found {text!r}, expected a code like {column.pattern}"
    return text, ""


def _number(text: str, column: Column, group: str) -> tuple[float | None, str]:
    try:
        value = float(text)
    except ValueError:
        return None, f"found {text!r}, expected a number in {column.unit}"
    allowed = column.range_for(group)
    if allowed is None:
        return value, f"has no plausible range for {group!r}"
    if not (math.isfinite(value) and allowed[0] <= value <= allowed[1]):
        whose = "" if group == "*" else f" for {group}"
        return value, f"found {text}, expected {allowed[0]:g} to {allowed[1]:g} {column.unit}{whose}"
    return value, ""
