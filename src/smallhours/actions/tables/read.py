"""A table file to documents, with a report of what was understood, row by row."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from smallhours.actions.tables.cells import Mark, decimal_mark
from smallhours.actions.tables.grid import Cell, Grid, read_grid
from smallhours.actions.tables.headings import (
    FIELDS,
    Headings,
    TableKind,
    fields_in,
    headings,
    kind_of_table,
    missing,
    most_known,
)
from smallhours.actions.tables.ingredients import ingredient_row
from smallhours.actions.tables.orders import order_row
from smallhours.actions.tables.prices import price_row
from smallhours.actions.tables.row import Names, Row
from smallhours.bakery.document import Document, text_name
from smallhours.bakery.ingredient import Ingredient, IngredientList, Price
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.errors import BadInput


@dataclass(frozen=True)
class ReadRow:
    """One row: its number in the file (1 is the first line), what was understood, and what is wrong with it."""

    number: int
    values: Mapping[str, str]
    problem: str | None = None


@dataclass(frozen=True)
class ReadTable:
    """A whole table: its kind, the headings that were known and not, assumptions in sentences, rows, documents."""

    source: str
    kind: TableKind
    columns: Mapping[str, str]
    ignored: tuple[str, ...]
    notes: tuple[str, ...]
    rows: tuple[ReadRow, ...]
    items: tuple[Document, ...] = field(repr=False)

    @property
    def bad_rows(self) -> tuple[ReadRow, ...]:
        """The rows with a problem."""
        return tuple(row for row in self.rows if row.problem)

    def order_book(self) -> OrderBook:
        """The good rows of an order table."""
        return OrderBook(
            standing=tuple(item for item in self.items if isinstance(item, StandingOrder)),
            single=tuple(item for item in self.items if isinstance(item, Order)),
        )

    def ingredient_list(self) -> IngredientList:
        """The good rows of a table of ingredients or prices."""
        return IngredientList(
            ingredients=tuple(item for item in self.items if isinstance(item, Ingredient)),
            prices=tuple(item for item in self.items if isinstance(item, Price)),
        )


_READERS: Mapping[TableKind, Callable[[Row, Names], Document]] = {
    "orders": order_row,
    "prices": price_row,
    "ingredients": ingredient_row,
}


def read_table(data: bytes, source: str, names: Names = Names(), kind: TableKind | None = None) -> ReadTable:  # noqa: B008
    """The orders, prices or ingredients in a CSV or XLSX file.

    ``kind``: what it holds; found from its headings if not said. Bad rows are in the report, not raised.
    Raises BadInput if the file or its headings cannot be used at all.
    """
    grid = read_grid(data, source, most_known)
    found = kind or kind_of_table(grid.rows)
    if found is None:
        raise BadInput(f"{source}: {_no_kind(grid)}")
    head = headings(grid.rows, found)
    if head is None or (gone := missing(head.columns, found)):
        raise BadInput(f"{source}: a table of {found} also needs the heading " + "; ".join(gone if head else ["names"]))
    below = grid.rows[head.row + 1 :]
    mark = decimal_mark(cell for row in below for cell in row)
    rows, items = [], []
    for number, row in enumerate(below, head.row + 2):
        if all(cell is None for cell in row):
            continue
        read, item = _read_row(number, row, head, mark, found, names)
        rows.append(read)
        if item is not None:
            items.append(item)
    titles = {str(grid.rows[head.row][column]): name for name, column in head.columns.items()}
    return ReadTable(source, found, titles, head.ignored, _notes(grid, head, mark, found), tuple(rows), tuple(items))


def _read_row(
    number: int, row: Sequence[Cell], head: Headings, mark: Mark | None, kind: TableKind, names: Names
) -> tuple[ReadRow, Document | None]:
    cells = {name: row[column] for name, column in head.columns.items() if column < len(row)}
    shown = {name: str(cell) for name, cell in cells.items() if cell is not None}
    try:
        item = _READERS[kind](Row(cells, mark), names)
        faults = [str(fault) for fault in item.faults()]
        if faults:
            raise ValueError("; ".join(faults))
    except ValueError as error:
        return ReadRow(number, shown, _sentence(error)), None
    return ReadRow(number, dict(_shown(item))), item


def _shown(item: Document) -> Iterator[tuple[str, str]]:
    for name, value in item.to_json_data().items():
        yield name, _said(value)


def _said(value: object) -> str:
    """A value for people; what stands in 100 g of an ingredient by name."""
    if isinstance(value, Mapping):
        inside = ", ".join(f"{text_name(name)} {grams:g} g" for name, grams in value.items())
        return f"{inside} (in 100 g)"
    return ", ".join(map(str, value)) if isinstance(value, list) else str(value)


def _sentence(error: ValueError) -> str:
    from pydantic import ValidationError

    if isinstance(error, ValidationError):
        return "; ".join(f"{'.'.join(map(str, e['loc']))}: {e['msg']} (found {e['input']!r})" for e in error.errors())
    return str(error)


def _notes(grid: Grid, head: Headings, mark: Mark | None, kind: TableKind) -> tuple[str, ...]:
    notes = list(grid.notes)
    if head.row:
        notes.append(f"headings found in line {head.row + 1}; what stands above was left out")
    if mark:
        notes.append(f"decimal mark {mark!r}")
    if kind in ("orders", "prices") and ("date" in head.columns or "valid_from" in head.columns):
        notes.append("dates with slashes read as day/month/year")
    if head.ignored:
        notes.append("columns left out: " + ", ".join(head.ignored))
    return tuple(notes)


def _no_kind(grid: Grid) -> str:
    """Why a table is none of the three kinds, by the kind it comes nearest to."""
    best: tuple[int, TableKind, dict[str, int]] = (0, "orders", {})
    for row in grid.rows[:10]:
        for kind in FIELDS:
            found = fields_in(row, kind)
            if len(found) > best[0]:
                best = (len(found), kind, found)
    if not best[0]:
        return "no headings found; orders need customer, product, pieces, due and date or days"
    return f"looks like a table of {best[1]}, but has no heading for " + "; ".join(missing(best[2], best[1]))
