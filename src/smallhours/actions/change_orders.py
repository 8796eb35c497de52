"""Change single numbers of the order book, as somebody typed them into a page: each with what it was before.

Whoever typed saw certain numbers. A number that has become another one since is not written over: nothing is saved, and
the answer says what is there now and who wrote last. Numbers that nobody else touched can be saved side by side.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db import transaction

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.shelf import shelf
from smallhours.actions.soundness import order_faults
from smallhours.bakery.kitchen.document import DAYS, Day
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.bakery.orders.lines import OrderKey, StandingLine, day_cell, key_of, standing_lines
from smallhours.errors import BadInput, DocumentError
from smallhours.records import orders as rows
from smallhours.records import queries
from smallhours.records.keeping import Done, Signature, write_log


@dataclass(frozen=True)
class DayChange:
    """An order on one date. ``was``, ``now``: pieces as they stood on the page and as typed (None: no order)."""

    key: OrderKey
    date: dt.date
    was: int | None
    now: int | None
    free_from: tuple[str, ...] = ()


@dataclass(frozen=True)
class StandingChange:
    """A standing order on one weekday. A key with another ``free_from`` is another order."""

    key: OrderKey
    day: Day
    was: int | None
    now: int | None
    free_from: tuple[str, ...] = ()


Change = DayChange | StandingChange


@dataclass(frozen=True)
class ChangeOrders:
    """Numbers to change, days to close and to open again."""

    changes: tuple[Change, ...] = ()
    close: tuple[dt.date, ...] = ()
    open: tuple[dt.date, ...] = ()
    reason: str = ""


@dataclass(frozen=True)
class Clash:
    """A number that somebody changed meanwhile: what it is now. ``by``, ``at``: who wrote orders last."""

    change: Change
    found: int | None
    by: str
    at: dt.datetime | None


@dataclass(frozen=True)
class ChangedOrders:
    """How many numbers and days were changed; with clashes none was."""

    changed: int
    clashes: tuple[Clash, ...] = ()


def change_orders(command: ChangeOrders, actor: Actor = BAKER, clock: Clock = now) -> ChangedOrders:
    """Write what was changed, all or nothing.

    Raises DocumentError for an order that cannot be made (no such formula, cannot be free from what it holds), BadInput
    if one number is given twice, NotAllowed.
    """
    require(actor, "save orders")
    wanted = [change for change in command.changes if change.was != change.now]
    _check_each_once(wanted)
    signature = Signature(actor.name, clock(), command.reason)
    held = shelf()
    faults = tuple(order_faults(_as_book(wanted), held.formulas, held.pantry()))
    if faults:
        raise DocumentError("orders", faults)
    with transaction.atomic():
        book = queries.order_book()
        clashes = tuple(_clashes(wanted, book))
        if clashes:
            return ChangedOrders(0, clashes)
        for change in wanted:
            if isinstance(change, DayChange):
                _write_day(change, book)
        _write_standing([change for change in wanted if isinstance(change, StandingChange)], book)
        days = rows.put_closed(command.close, True) + rows.put_closed(command.open, False)
        if wanted or days:
            write_log(Done("change orders", "orders", details=_details(command, wanted)), signature)
    return ChangedOrders(len(wanted) + days)


def _check_each_once(changes: Iterable[Change]) -> None:
    seen: set[tuple[object, ...]] = set()
    for change in changes:
        on = change.date if isinstance(change, DayChange) else (change.day, change.free_from)
        place = (change.key, on)
        if place in seen:
            raise BadInput(
                f"{change.key.customer}, {change.key.product}, {change.key.due:%H:%M} stands there twice; "
                "put both into one line"
            )
        seen.add(place)


def _as_book(changes: Iterable[Change]) -> OrderBook:
    """What is to be made, as orders; what is taken away needs no formula."""
    standing, single = [], []
    for change in changes:
        said = {**change.key._asdict(), "pieces": change.now, "free_from": change.free_from}
        if change.now and isinstance(change, DayChange):
            single.append(Order(**said, date=change.date))
        elif change.now and isinstance(change, StandingChange):
            standing.append(StandingOrder(**said, days=(change.day,)))
    return OrderBook(standing=tuple(standing), single=tuple(single))


def _clashes(changes: Iterable[Change], book: OrderBook) -> Iterable[Clash]:
    lines = {(line.key, line.free_from): line.pieces for line in standing_lines(book)}
    last = rows.last_touch()
    by, at = last if last else ("", None)
    for change in changes:
        if isinstance(change, DayChange):
            found = day_cell(book, change.key, change.date).pieces
        else:
            found = lines.get((change.key, change.free_from), {}).get(change.day)
        if found not in (change.was, change.now):
            yield Clash(change, found, by, at)


def _write_day(change: DayChange, book: OrderBook) -> None:
    """A number that is what the standing orders say needs no order of its own; none where one stands calls it off."""
    key, day = change.key, DAYS[change.date.weekday()]
    usual = day_cell(book, key, change.date).standing
    single = [one for one in book.single if key_of(one) == key and one.date == change.date]
    standing = [one for one in book.standing if key_of(one) == key and day in one.days]
    free = _free_from(single).union(change.free_from) - _free_from(standing)
    pieces = 0 if change.now is None and usual is not None else change.now
    order = None
    if pieces is not None and (pieces != usual or free):
        order = Order(**key._asdict(), date=change.date, pieces=pieces, free_from=tuple(sorted(free)))
    rows.put_single(key, change.date, order)


def _free_from(orders: Iterable[Order | StandingOrder]) -> set[str]:
    return {name for order in orders for name in order.free_from}


def _write_standing(changes: Iterable[StandingChange], book: OrderBook) -> None:
    lines: dict[tuple[OrderKey, tuple[str, ...]], dict[Day, int]] = {
        (line.key, line.free_from): dict(line.pieces) for line in standing_lines(book)
    }
    touched = set()
    for change in changes:
        name = (change.key, change.free_from)
        touched.add(name)
        pieces = lines.setdefault(name, {})
        if change.now is None:
            pieces.pop(change.day, None)
        else:
            pieces[change.day] = change.now
    for key, free in sorted(touched):
        rows.put_standing(StandingLine(key, free, lines[key, free]))


def _details(command: ChangeOrders, wanted: Iterable[Change]) -> dict[str, Any]:
    said = []
    for change in wanted:
        on = change.date.isoformat() if isinstance(change, DayChange) else change.day
        key = change.key
        said.append([key.customer, key.product, f"{key.due:%H:%M}", on, change.was, change.now])
    closed = {"close": command.close, "open": command.open}
    return {"changes": said, **{word: [d.isoformat() for d in dates] for word, dates in closed.items() if dates}}
