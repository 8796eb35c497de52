"""The table of orders as a form: lines with a field for each day, from the store or as somebody typed it.

Every line carries what it was when the page was made (``was``), so that saving changes only what was typed, and nothing
that somebody else has changed meanwhile.
"""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from smallhours.actions.change_orders import Change, Clash, DayChange, StandingChange
from smallhours.bakery.kitchen.document import DAYS, Day
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.orders.lines import OrderKey, day_lines, standing_lines

Column = dt.date | Day
BLANK = 3
MOST_LINES = 1500


@dataclass
class Cell:
    """A field for pieces. ``usual``: what the standing orders say, where this day says otherwise; ``more``: against the
    week before."""

    name: str
    column: Column
    value: str = ""
    fault: str = ""
    usual: int | None = None
    more: int = 0


@dataclass
class Line:
    """A line of the form; ``was`` is None for a new one."""

    number: int
    customer: str = ""
    product: str = ""
    due: str = ""
    free: str = ""
    was: Was | None = None
    cells: list[Cell] = field(default_factory=list)
    faults: dict[str, str] = field(default_factory=dict)

    @property
    def was_text(self) -> str:
        """What the line was, as the form carries it."""
        return "" if self.was is None else self.was.text()

    @property
    def sentences(self) -> list[tuple[str, str]]:
        """What is wrong with the line: the id of the field and the sentence, in the order of the fields."""
        found = [(f"l{self.number}-{name}", said) for name, said in self.faults.items()]
        return found + [(cell.name, cell.fault) for cell in self.cells if cell.fault]

    @property
    def blank(self) -> bool:
        """Whether nothing is typed in it."""
        return not any((self.customer, self.product, self.due, self.free, *(cell.value for cell in self.cells)))


@dataclass
class Was:
    """What a line was when the page was made."""

    key: OrderKey
    free: tuple[str, ...]
    pieces: list[int | None]

    def text(self) -> str:
        """As the form carries it."""
        return json.dumps([self.key.customer, self.key.product, f"{self.key.due:%H:%M:%S}", self.free, self.pieces])

    @classmethod
    def read(cls, text: str, columns: int) -> Was | None:
        """Out of a form; None for a new line. Raises ValueError for what no page of ours has made."""
        if not text:
            return None
        customer, product, due, free, pieces = json.loads(text)
        if len(pieces) != columns or not all(p is None or (isinstance(p, int) and p >= 0) for p in pieces):
            raise ValueError("a line that is not as wide as its table")
        return cls(OrderKey(dt.time.fromisoformat(due), str(customer), str(product)), tuple(map(str, free)), pieces)


@dataclass
class Form:
    """A whole table: its columns and lines, and which field each change came from."""

    columns: tuple[Column, ...]
    lines: list[Line]
    places: dict[int, tuple[Line, int]] = field(default_factory=dict)
    changes: list[Change] = field(default_factory=list)

    @property
    def by_weekday(self) -> bool:
        """Whether these are standing orders."""
        return bool(self.columns) and isinstance(self.columns[0], str)

    @property
    def faults(self) -> int:
        """How many fields cannot be used."""
        return sum(len(line.sentences) for line in self.lines)

    @property
    def width(self) -> int:
        """How many columns its table has on the page."""
        return 3 + len(self.columns) + (self.by_weekday or len(self.columns) == 1)

    def add(self, change: Change, line: Line, column: int) -> None:
        """Note a change and the field it was typed into."""
        self.places[id(change)] = (line, column)
        self.changes.append(change)

    def with_blank(self, more: int) -> Form:
        """With empty lines at the end."""
        start = len(self.lines)
        for number in range(start, min(start + more, MOST_LINES)):
            self.lines.append(Line(number, cells=_cells(number, self.columns)))
        return self

    def show(self, clashes: Sequence[Clash], sentence: Callable[[Clash], str]) -> None:
        """Put beside each field what somebody else has written meanwhile; saved again, what is typed wins."""
        for clash in clashes:
            line, column = self.places[id(clash.change)]
            line.cells[column].fault = sentence(clash)
            if line.was is None:
                line.was = Was(clash.change.key, clash.change.free_from, [None] * len(self.columns))
            if line.was.key == clash.change.key:
                line.was.pieces[column] = clash.found


def days_form(book: OrderBook, dates: Sequence[dt.date], free_text: Callable[[tuple[str, ...]], str]) -> Form:
    """The orders of some dates, with what differs from the week before."""
    before = day_lines(book, [date - dt.timedelta(days=7) for date in dates])
    former = {line.key: line.cells for line in before}
    lines = []
    for number, one in enumerate(day_lines(book, dates)[:MOST_LINES]):
        was = Was(one.key, one.free_from, [cell.pieces for cell in one.cells])
        cells = _cells(number, dates)
        for place, (cell, held) in enumerate(zip(cells, one.cells, strict=True)):
            cell.value = "" if held.pieces is None else str(held.pieces)
            cell.usual = held.standing if held.single else None
            last = former[one.key][place].pieces if one.key in former else None
            cell.more = (held.pieces or 0) - (last or 0)
        lines.append(_line(number, was, cells, free_text))
    return Form(tuple(dates), lines)


def standing_form(book: OrderBook, free_text: Callable[[tuple[str, ...]], str]) -> Form:
    """The standing orders by weekday."""
    lines = []
    for number, one in enumerate(standing_lines(book)[:MOST_LINES]):
        was = Was(one.key, one.free_from, [one.pieces.get(day) for day in DAYS])
        cells = _cells(number, DAYS)
        for cell, pieces in zip(cells, was.pieces, strict=True):
            cell.value = "" if pieces is None else str(pieces)
        lines.append(_line(number, was, cells, free_text))
    return Form(DAYS, lines)


def make_change(column: Column, key: OrderKey, free: tuple[str, ...], was: int | None, now: int | None) -> Change:
    """The change of one field."""
    if isinstance(column, dt.date):
        return DayChange(key, column, was, now, free)
    return StandingChange(key, column, was, now, free)


def blank_cells(number: int, columns: Sequence[Column], posted: Mapping[str, str]) -> list[Cell]:
    """The fields of a line with what was typed into them."""
    cells = _cells(number, columns)
    for cell in cells:
        cell.value = posted.get(cell.name, "")
    return cells


def _line(number: int, was: Was, cells: list[Cell], free_text: Callable[[tuple[str, ...]], str]) -> Line:
    key = was.key
    return Line(number, key.customer, key.product, f"{key.due:%H:%M}", free_text(was.free), was, cells)


def _cells(number: int, columns: Sequence[Any]) -> list[Cell]:
    return [Cell(f"l{number}-c{place}", column) for place, column in enumerate(columns)]
