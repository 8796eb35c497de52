"""Numbers of the order book changed one by one: what is written, and what is not written over."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from smallhours.actions.change_orders import ChangeOrders, DayChange, StandingChange, change_orders
from smallhours.actions.permissions import Actor
from smallhours.bakery.orders.document import Order, StandingOrder
from smallhours.bakery.orders.lines import OrderKey
from smallhours.errors import BadInput, DocumentError, NotAllowed
from smallhours.records import queries

THURSDAY = dt.date(2026, 1, 15)
LOAF = OrderKey(dt.time(7, 30), "Shop", "hearth-loaf")
VAN = OrderKey(dt.time(6, 30), "Van", "hearth-roll")
ANA = Actor("Ana", "office")


def _pieces(key: OrderKey, date: dt.date = THURSDAY) -> int:
    found = [o.pieces for o in queries.order_book().on(date) if (o.due, o.customer, o.product) == key]
    return found[0] if found else 0


def test_a_number_for_one_day_and_back(bakery: Path) -> None:
    """Behaviour: 24 loaves stand; 30 for Thursday is a single order, 24 again takes it away, none calls it off."""
    assert change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 24, 30),)), ANA).changed == 1
    assert _pieces(LOAF) == 30
    assert _pieces(LOAF, THURSDAY + dt.timedelta(days=7)) == 24
    change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 30, 24),)), ANA)
    assert [o for o in queries.order_book().single if o.customer == "Shop"] == []
    change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 24, None),)), ANA)
    assert _pieces(LOAF) == 0
    (line, *_) = queries.log_lines(1)
    assert (line.author, line.verb) == ("Ana", "change orders")
    assert line.details["changes"] == [["Shop", "hearth-loaf", "07:30", "2026-01-15", 24, None]]


def test_standing_orders_by_weekday(bakery: Path) -> None:
    """Behaviour: another number on Saturday parts the week in two orders; none on Sunday takes that day out."""
    changes = (StandingChange(LOAF, "sat", 24, 40), StandingChange(LOAF, "sun", 24, None))
    assert change_orders(ChangeOrders(changes)).changed == 2
    shop = [o for o in queries.order_book().standing if o.customer == "Shop"]
    assert sorted((o.pieces, o.days) for o in shop) == [
        (24, ("mon", "tue", "wed", "thu", "fri")),
        (40, ("sat",)),
    ]


def test_another_time_moves_an_order(bakery: Path) -> None:
    """Behaviour: an order under another hour: the old line goes, the new one is there, in one step."""
    later = LOAF._replace(due=dt.time(8, 0))
    moved = [DayChange(LOAF, THURSDAY, 24, None), DayChange(later, THURSDAY, None, 24)]
    change_orders(ChangeOrders(tuple(moved)))
    assert (_pieces(LOAF), _pieces(later)) == (0, 24)


def test_nobody_is_written_over(bakery: Path) -> None:
    """Behaviour: two saw 24. The first writes 30; the second's 36 is not saved, nor what came with it, and she is
    told of the 30 and whose it is. What only one of them touched is saved side by side."""
    change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 24, 30),)), ANA)
    before = queries.order_book()
    both = (DayChange(LOAF, THURSDAY, 24, 36), DayChange(VAN, THURSDAY, _pieces(VAN), 1))
    answer = change_orders(ChangeOrders(both))
    assert answer.changed == 0
    ((clash),) = answer.clashes
    assert (clash.change, clash.found, clash.by) == (both[0], 30, "Ana")
    assert queries.order_book() == before
    assert change_orders(ChangeOrders((both[1],))).changed == 1
    assert change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 24, 30),))).clashes == ()  # she meant the same


def test_two_write_standing_orders(bakery: Path) -> None:
    """Behaviour: the same holds for standing orders: Saturday clashes, Sunday alone does not."""
    change_orders(ChangeOrders((StandingChange(LOAF, "sat", 24, 40),)), ANA)
    clashes = change_orders(ChangeOrders((StandingChange(LOAF, "sat", 24, 50),))).clashes
    assert [(clash.change.now, clash.found) for clash in clashes] == [(50, 40)]
    assert change_orders(ChangeOrders((StandingChange(LOAF, "sun", 24, 50),))).changed == 1


def test_days_closed_and_opened(bakery: Path) -> None:
    """Behaviour: closing a day twice changes it once; opened again its orders are there again."""
    assert change_orders(ChangeOrders(close=(THURSDAY,))).changed == 1
    assert change_orders(ChangeOrders(close=(THURSDAY,))).changed == 0
    assert queries.order_book().on(THURSDAY) == ()
    change_orders(ChangeOrders(open=(THURSDAY,)))
    assert _pieces(LOAF) == 24


def test_what_cannot_be_ordered(bakery: Path) -> None:
    """Bad input: no such formula; free from what is in it; a number given twice; somebody who only reads."""
    for change in (
        DayChange(LOAF._replace(product="no-such"), THURSDAY, None, 3),
        DayChange(LOAF, THURSDAY, 24, 30, ("gluten",)),
    ):
        with pytest.raises(DocumentError):
            change_orders(ChangeOrders((change,)))
    with pytest.raises(BadInput, match="twice"):
        change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 24, 1), DayChange(LOAF, THURSDAY, 24, 2))))
    with pytest.raises(NotAllowed):
        change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 24, 1),)), Actor("Rita", "reader"))


def test_wishes_to_be_free_from_stay(bakery: Path) -> None:
    """Behaviour: what an order of that day is to be free from is still there after its number changed."""
    from smallhours.actions.save_orders import SaveOrders, save_orders
    from smallhours.bakery.orders.document import OrderBook

    single = Order(customer="Shop", product="hearth-loaf", date=THURSDAY, due=LOAF.due, pieces=9, free_from=("nuts",))
    standing = StandingOrder(customer="Club", product="hearth-loaf", due=LOAF.due, pieces=5, free_from=("egg",))
    save_orders(SaveOrders(OrderBook(single=(single,), standing=(standing,))))
    club = LOAF._replace(customer="Club")
    change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 9, 24), DayChange(club, THURSDAY, 5, 6, ("egg",)))))
    on = {o.customer: (o.pieces, o.free_from) for o in queries.order_book().on(THURSDAY)}
    assert on["Shop"] == (24, ("nuts",))
    assert on["Club"] == (6, ("egg",))
    change_orders(ChangeOrders((DayChange(club, THURSDAY, 6, 5, ("egg",)),)))
    assert [o for o in queries.order_book().single if o.customer == "Club"] == []


def test_two_at_the_very_same_moment(bakery: Path) -> None:
    """Behaviour: six people save another number for the same order at once; one is saved, five are told of it."""
    from concurrent.futures import ThreadPoolExecutor

    from django.db import connection

    def save(pieces: int) -> int:
        try:
            return len(change_orders(ChangeOrders((DayChange(LOAF, THURSDAY, 24, pieces),))).clashes)
        finally:
            connection.close()

    with ThreadPoolExecutor(6) as pool:
        clashes = list(pool.map(save, range(30, 36)))
    assert sorted(clashes) == [0, 1, 1, 1, 1, 1]
    assert _pieces(LOAF) == 30 + clashes.index(0)
