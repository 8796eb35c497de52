"""Orders as lines: sums, called-off orders, weekdays put together, waves, differences."""

from __future__ import annotations

import datetime as dt

from hypothesis import given
from hypothesis import strategies as st

from smallhours.bakery.kitchen.document import DAYS
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.bakery.orders.lines import (
    DayCell,
    Difference,
    OrderKey,
    Wave,
    against,
    day_cell,
    day_lines,
    standing_lines,
    standing_orders,
    waves,
)

EARLY, LATE = dt.time(5, 45), dt.time(7, 30)
THURSDAY, FRIDAY = dt.date(2026, 1, 15), dt.date(2026, 1, 16)
LOAF = OrderKey(LATE, "Shop", "loaf")
BOOK = OrderBook(
    standing=(
        StandingOrder(customer="Shop", product="loaf", due=LATE, days=("thu", "fri"), pieces=20),
        StandingOrder(customer="Shop", product="loaf", due=LATE, days=("thu",), pieces=4, free_from=("nuts",)),
        StandingOrder(customer="Van", product="roll", due=EARLY, pieces=60),
    ),
    single=(
        Order(customer="Shop", product="loaf", date=FRIDAY, due=LATE, pieces=0),
        Order(customer="Club", product="roll", date=FRIDAY, due=EARLY, pieces=15),
    ),
)


def test_what_a_line_has_on_a_date() -> None:
    """Hand: 20 + 4 loaves on Thursday; called off on Friday, where 20 stand; nothing on Saturday."""
    assert day_cell(BOOK, LOAF, THURSDAY) == DayCell(24, 24, False)
    assert day_cell(BOOK, LOAF, FRIDAY) == DayCell(0, 20, True)
    assert day_cell(BOOK, LOAF, dt.date(2026, 1, 17)) == DayCell()


def test_lines_of_two_days() -> None:
    """Hand: by due time, then customer: the club's rolls (Friday only), the van's, the shop's loaves."""
    lines = day_lines(BOOK, (THURSDAY, FRIDAY))
    assert [line.key.customer for line in lines] == ["Club", "Van", "Shop"]
    assert [cell.pieces for cell in lines[0].cells] == [None, 15]
    assert [cell.pieces for cell in lines[1].cells] == [60, 60]
    assert lines[2].free_from == ("nuts",)


@given(
    st.lists(
        st.tuples(st.sampled_from("ab"), st.sets(st.sampled_from(DAYS), min_size=1), st.integers(0, 9)), max_size=6
    )
)
def test_standing_orders_as_lines_and_back(orders: list[tuple[str, set[str], int]]) -> None:
    """Round trip: through lines and back every day holds the same orders; with one line for each customer."""
    book = OrderBook(standing=tuple(
        StandingOrder(customer=who, product="loaf", due=LATE, days=tuple(d for d in DAYS if d in days), pieces=pieces)
        for who, days, pieces in orders
    ))  # fmt: skip
    lines = standing_lines(book)
    assert [line.key.customer for line in lines] == sorted({who for who, _, _ in orders})
    again = OrderBook(standing=tuple(order for line in lines for order in standing_orders(line)))
    week = [THURSDAY + dt.timedelta(days=n) for n in range(7)]
    assert [book.on(date) for date in week] == [again.on(date) for date in week]


def test_waves() -> None:
    """Hand: on Thursday 60 rolls are due at 05:45 and 24 loaves at 07:30."""
    assert waves(BOOK.on(THURSDAY)) == (Wave(EARLY, 60, (("roll", 60),)), Wave(LATE, 24, (("loaf", 24),)))


def test_what_differs_between_two_days() -> None:
    """Hand: on Friday the club has 15 rolls it did not have on Thursday, the shop 24 loaves less."""
    assert against(BOOK.on(THURSDAY), BOOK.on(FRIDAY)) == (
        Difference(OrderKey(EARLY, "Club", "roll"), 0, 15),
        Difference(LOAF, 24, 0),
    )
