"""Orders as lines of a table: who wants what ready when, and how many on each day. What pages show and change."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from smallhours.bakery.kitchen.document import DAYS, Day
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder


class OrderKey(NamedTuple):
    """What makes two orders of one day the same order."""

    due: dt.time
    customer: str
    product: str


@dataclass(frozen=True)
class DayCell:
    """What a line has on one date. ``pieces``: what is baked (None: no order; 0: a standing order called off);
    ``standing``: what the standing orders alone say; ``single``: whether an order for that date says otherwise."""

    pieces: int | None = None
    standing: int | None = None
    single: bool = False


@dataclass(frozen=True)
class DayLine:
    """One order over several dates."""

    key: OrderKey
    free_from: tuple[str, ...]
    cells: tuple[DayCell, ...]


@dataclass(frozen=True)
class StandingLine:
    """One standing order over the week; days without it are left out."""

    key: OrderKey
    free_from: tuple[str, ...]
    pieces: Mapping[Day, int]


@dataclass(frozen=True)
class Wave:
    """What has to be ready at one time of day, by product."""

    due: dt.time
    pieces: int
    products: tuple[tuple[str, int], ...]


@dataclass(frozen=True)
class Difference:
    """An order that is not what it was: pieces before and now (0: there was, or is, none)."""

    key: OrderKey
    before: int
    now: int


def key_of(order: Order | StandingOrder) -> OrderKey:
    """What an order is known by."""
    return OrderKey(order.due, order.customer, order.product)


def day_cell(book: OrderBook, key: OrderKey, date: dt.date) -> DayCell:
    """What a book says of one order on one date, whether the bakery is open or not."""
    standing = [order for order in book.standing if key_of(order) == key]
    return _cell(standing, [order for order in book.single if key_of(order) == key], date)


def day_lines(book: OrderBook, dates: Sequence[dt.date]) -> tuple[DayLine, ...]:
    """Every order that some of the dates has, by due time, customer and product; also those called off."""
    days = {DAYS[date.weekday()] for date in dates}
    standing: dict[OrderKey, list[StandingOrder]] = {}
    single: dict[OrderKey, list[Order]] = {}
    for usual in book.standing:
        if days & set(usual.days):
            standing.setdefault(key_of(usual), []).append(usual)
    for one in book.single:
        if one.date in dates:
            single.setdefault(key_of(one), []).append(one)
    lines = []
    for key in sorted({*standing, *single}):
        of_key, once = standing.get(key, []), single.get(key, [])
        free = {name for usual in of_key for name in usual.free_from} | {name for one in once for name in one.free_from}
        lines.append(DayLine(key, tuple(sorted(free)), tuple(_cell(of_key, once, date) for date in dates)))
    return tuple(lines)


def _cell(standing: Iterable[StandingOrder], single: Iterable[Order], date: dt.date) -> DayCell:
    """What the orders of one key say of a date."""
    day = DAYS[date.weekday()]
    usual = [order.pieces for order in standing if day in order.days]
    once = [order.pieces for order in single if order.date == date]
    total = sum(usual) if usual else None
    return DayCell(sum(once) if once else total, total, bool(once))


def standing_lines(book: OrderBook) -> tuple[StandingLine, ...]:
    """The standing orders, a line for each customer, product, due time and wish to be free from something."""
    found: dict[tuple[OrderKey, tuple[str, ...]], dict[Day, int]] = {}
    for order in book.standing:
        pieces = found.setdefault((key_of(order), tuple(sorted(order.free_from))), {})
        for day in order.days:
            pieces[day] = pieces.get(day, 0) + order.pieces
    return tuple(StandingLine(key, free, found[key, free]) for key, free in sorted(found))


def standing_orders(line: StandingLine) -> tuple[StandingOrder, ...]:
    """The orders of a line: days with the same number of pieces together."""
    by_pieces: dict[int, list[Day]] = {}
    for day in DAYS:
        if day in line.pieces:
            by_pieces.setdefault(line.pieces[day], []).append(day)
    return tuple(
        StandingOrder(
            customer=line.key.customer,
            product=line.key.product,
            due=line.key.due,
            days=tuple(days),
            pieces=pieces,
            free_from=line.free_from,
        )
        for pieces, days in by_pieces.items()
    )


def waves(orders: Iterable[Order]) -> tuple[Wave, ...]:
    """Orders of one day by the time they are due."""
    found: dict[dt.time, dict[str, int]] = {}
    for order in orders:
        products = found.setdefault(order.due, {})
        products[order.product] = products.get(order.product, 0) + order.pieces
    return tuple(Wave(due, sum(found[due].values()), tuple(sorted(found[due].items()))) for due in sorted(found))


def against(before: Iterable[Order], now: Iterable[Order]) -> tuple[Difference, ...]:
    """What differs between the orders of two days, by due time, customer and product."""
    was, has = ({key_of(order): order.pieces for order in orders} for orders in (before, now))
    return tuple(
        Difference(key, was.get(key, 0), has.get(key, 0))
        for key in sorted({*was, *has})
        if was.get(key, 0) != has.get(key, 0)
    )
