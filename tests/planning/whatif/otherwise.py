"""Small nights asked otherwise, the same answers every time; every plan in an answer is gone over by the outsider."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from planning.shift.small_bakery import MADE_AT, MIDNIGHT, NIGHT, kitchen
from planning.sound import wrong_with
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order, OrderBook
from smallhours.bakery.pantry import Pantry
from smallhours.planning.plan import Plan
from smallhours.planning.whatif.attempt import Attempt, Thinking
from smallhours.planning.whatif.cure import Answered, cure
from smallhours.planning.whatif.given import Given

MIXERS: list[dict[str, Any]] = [
    {"id": name, "name": name.capitalize(), "min_dough_g": 100.0, "max_dough_g": 40000.0} for name in ("one", "two")
]


def tins(count: int) -> list[dict[str, Any]]:
    """Tins of which two stand on a tray place, and that cool for 15 minutes."""
    return [{"id": "tin", "name": "Tin", "count": count, "tray_share": 0.5, "cool_s": 900.0}]


def thinking(try_s: float = 3.0) -> Thinking:
    """Thinking that comes out the same every time."""
    return Thinking(try_s, 1.0, workers=1, deterministic=True)


def given(formulas: Sequence[Formula], orders: Sequence[Order], place: Kitchen | None = None) -> Given:
    """A small night from midnight on."""
    return Given({f.id: f for f in formulas}, tuple(orders), place or kitchen(), Pantry(), NIGHT, MIDNIGHT)


def cured(night: Given, plan: Plan | None = None, *, try_s: float = 3.0, limit_s: float = 60.0) -> Answered:
    """The cures of a night, each held by its own plan: checked from outside, and on time as it says."""
    answered = cure(night, made_at=MADE_AT, thinking=thinking(try_s), plan=plan, time_limit_s=limit_s)
    for told, found in zip(answered.cures.cures, answered.found, strict=True):
        checked = plan_of(found.attempt)
        orders = found.attempt.of.given.orders
        late = [order.late_s for order in checked.orders]
        assert [not late[found.attempt.of.places.index(place)] for place in found.cured] == [True] * len(found.cured)
        assert told.all_on_time == (not any(late)), told.sentence
        assert len(told.cured) == len(found.cured) <= len(orders)
    return answered


def plan_of(attempt: Attempt) -> Plan:
    """The plan of an attempt, gone over by the outsider's check against the documents as they were varied."""
    plan, there = attempt.plan(MADE_AT), attempt.of.given
    book = OrderBook(single=tuple(order for order in there.orders if order.pieces))
    assert wrong_with(plan, there.kitchen, there.formulas, book, there.pantry) == []
    return plan


def sentences(answered: Answered) -> list[str]:
    """What the cures say, up to what they cost."""
    return [told.sentence.partition(" (")[0].rstrip(".") for told in answered.cures.cures]


def smallest(answered: Answered, kind: str) -> Any:
    """The one change of that kind (a field of a variation) among the cures that change nothing else."""
    found = [told.variation for told in answered.cures.cures if getattr(told.variation, kind)]
    assert len(found) == 1, found
    return getattr(found[0], kind)[0]
