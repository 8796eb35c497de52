"""Order books nobody thought of, in the demo bakery: whatever is ordered, a plan comes out and holds together."""

from __future__ import annotations

import datetime as dt

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from demo.invented_bakery import FORMULAS, KITCHEN, ORDERS, PANTRY, PRODUCTS
from planning.shift.small_bakery import MADE_AT
from planning.sound import wrong_with
from smallhours.bakery.orders.document import Order
from smallhours.planning.plan import Plan
from smallhours.planning.shift.plan_night import plan_night

WEEK = [dt.date(2026, 11, 23) + dt.timedelta(days=d) for d in range(7)]
DUES = [dt.time(2), dt.time(5, 45), dt.time(7, 30), dt.time(12), dt.time(18)]
BOOKS = st.lists(
    st.tuples(st.sampled_from(sorted(PRODUCTS)), st.sampled_from(DUES), st.integers(1, 90), st.sampled_from("ABC")),
    min_size=1,
    max_size=3,
)


def made(orders: tuple[Order, ...], night: dt.date, limit: float) -> Plan:
    """A plan of the demo bakery, the same every time."""
    return plan_night(
        FORMULAS, orders, KITCHEN, PANTRY, night, made_at=MADE_AT, time_limit_s=limit, workers=1, deterministic=True
    )


@settings(max_examples=4, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(night=st.sampled_from(WEEK), book=BOOKS)
def test_any_little_order_book_gives_a_sound_plan(night: dt.date, book: list[tuple[str, dt.time, int, str]]) -> None:
    """Limit: one to three orders of anything on any day and at any hour: a plan with every piece, and nothing wrong."""
    orders = tuple(
        Order(customer=who, product=product, date=night, due=due, pieces=pieces) for product, due, pieces, who in book
    )
    plan = made(orders, night, 1.0)
    assert plan.status in ("optimal", "feasible")
    assert sum(o.pieces for o in plan.orders) == sum(o.pieces for o in orders)
    assert wrong_with(plan, KITCHEN, FORMULAS) == []


def test_the_demo_night_is_sound() -> None:
    """Limit: the whole of a weekday's orders of the demo bakery, after a short search, has nothing wrong."""
    night = dt.date(2026, 11, 25)
    plan = made(ORDERS.on(night), night, 2.0)
    assert len(plan.tasks) > 100
    assert wrong_with(plan, KITCHEN, FORMULAS, ORDERS) == []
