"""Read a table of orders and say what each row would change. Writes nothing; what was read is saved by save_orders."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.soundness import order_faults
from smallhours.actions.tables.headings import loosened
from smallhours.actions.tables.read import ReadRow, ReadTable, read_table
from smallhours.actions.tables.row import Names
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.bakery.orders.lines import key_of
from smallhours.errors import BadInput, Fault

Effect = Literal["new", "other", "same", "on-top", "bad"]


@dataclass(frozen=True)
class ReadOrders:
    """A CSV or XLSX file, or text as a spreadsheet puts it on the clipboard; ``source``: what to call it."""

    data: bytes
    source: str


@dataclass(frozen=True)
class SeenRow:
    """A row and what it would do: a new order, another number than there is (``before``), the same, a standing order
    on top of one for other days, or nothing because it is bad. ``order`` is None for a bad one."""

    row: ReadRow
    order: Order | StandingOrder | None
    effect: Effect
    before: int | None = None


@dataclass(frozen=True)
class SeenOrders:
    """A whole table: its rows, what was assumed of it, its good rows as a book, and what does not hold together."""

    table: ReadTable
    rows: tuple[SeenRow, ...]
    book: OrderBook
    faults: tuple[Fault, ...]


def read_orders(command: ReadOrders, actor: Actor = BAKER) -> SeenOrders:
    """Read it. Raises BadInput if it is no table of orders at all, NotAllowed."""
    require(actor, "save orders")
    held = shelf()
    table = read_table(command.data, command.source, _names(held))
    if table.kind != "orders":
        raise BadInput(
            f"{command.source}: is a table of {table.kind}; orders need customer, product, pieces, due and date or days"
        )
    book = table.order_book()
    faults = tuple(order_faults(book, held.formulas, held.pantry()))
    return SeenOrders(table, tuple(_seen(table, held.orders)), book, faults)


def _names(held: Shelf) -> Names:
    """Products by id and by name."""
    products = {loosened(formula.name): slug for slug, formula in held.formulas.items()}
    return Names(products | {loosened(slug): slug for slug in held.formulas})


def _seen(table: ReadTable, book: OrderBook) -> Iterator[SeenRow]:
    orders = (item for item in table.items if isinstance(item, Order | StandingOrder))
    for row in table.rows:
        if row.problem:
            yield SeenRow(row, None, "bad")
            continue
        order = next(orders)  # the table has its items in the order of its good rows
        effect, before = _effect(order, book)
        yield SeenRow(row, order, effect, before)


def _effect(order: Order | StandingOrder, book: OrderBook) -> tuple[Effect, int | None]:
    beside: list[int] = []
    if isinstance(order, Order):
        same = [one.pieces for one in book.single if key_of(one) == key_of(order) and one.date == order.date]
    else:
        alike = [(set(one.days), one.pieces) for one in book.standing if key_of(one) == key_of(order)]
        same = [pieces for days, pieces in alike if days == set(order.days)]
        beside = [pieces for days, pieces in alike if days != set(order.days) and days & set(order.days)]
    if same:
        return ("same" if sum(same) == order.pieces else "other"), sum(same)
    return ("on-top", sum(beside)) if beside else ("new", None)
