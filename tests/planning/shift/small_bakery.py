"""A small invented kitchen with numbers that can be added up in the head, and plans made in it, each checked."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import Any

from planning.sound import wrong_with
from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry
from smallhours.planning.plan import Plan, PlanTask
from smallhours.planning.shift.plan_night import plan_night

NIGHT = dt.date(2026, 11, 27)
MIDNIGHT = dt.datetime(2026, 11, 27, 0, 0, tzinfo=dt.UTC)
MADE_AT = dt.datetime(2026, 11, 26, 12, 0, tzinfo=dt.UTC)
MINUTE_S = 60.0

CHAIN: tuple[dict[str, Any], ...] = (
    {"kind": "mix", "duration_s": 10 * MINUTE_S},
    {"kind": "ferment", "duration_s": 60 * MINUTE_S},
    {"kind": "shape", "duration_s": 10 * MINUTE_S},
    {"kind": "proof", "duration_s": 50 * MINUTE_S},
    {"kind": "bake", "duration_s": 30 * MINUTE_S, "set_temp_c": 200.0},
    {"kind": "cool", "duration_s": 40 * MINUTE_S, "max_s": 8 * 60 * MINUTE_S},
)
"""10 + 60 + 10 + 50 + 30 + 40 = 200 minutes, nothing of it elastic but the cooling."""
CHAIN_MIN = 200
WAITS_MIN = 20 + 10  # a single lot after its dough's rest, and after it was shaped


def minutes(count: float) -> dt.timedelta:
    """So many minutes of elapsed time."""
    return dt.timedelta(minutes=count)


def stages(*changes: tuple[str, Mapping[str, Any]]) -> tuple[dict[str, Any], ...]:
    """The usual chain with some of its stages changed."""
    changed = dict(changes)
    return tuple({**stage, **changed.get(stage["kind"], {})} for stage in CHAIN)


def formula(name: str = "loaf", chain: Sequence[Mapping[str, Any]] = CHAIN, **more: Any) -> Formula:
    """A lean bread of 1 kg pieces."""
    lines = [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 65.0},
             {"ingredient": "salt", "percent": 2.0}, {"ingredient": "yeast-instant", "percent": 0.8}]  # fmt: skip
    data: dict[str, Any] = {
        "id": name,
        "name": name.capitalize(),
        "parts": [{"id": "dough", "name": f"{name} dough", "lines": lines}],
        "output": {"piece_mass_g": 1000.0},
        "stages": list(chain),
        "pieces_per_pan": 1,
    }
    return Formula.read({**data, **more}, name)


def person(name: str, start: str = "00:00:00", end: str = "12:00:00", **more: Any) -> dict[str, Any]:
    """Somebody who works from ``start`` to ``end`` on the kitchen's clock."""
    return {"id": name, "name": name.capitalize(), "hours": [{"start": start, "end": end}], **more}


def oven(places: int = 8, **more: Any) -> dict[str, Any]:
    """An oven of one deck: 18 minutes from cold to 200 °C, 10 K a minute up, 5 K a minute down."""
    oven: dict[str, Any] = {"id": "oven", "name": "Oven", "decks": [{"id": "deck", "tray_places": places}],
                            "heat_k_per_min": 10.0, "cool_k_per_min": 5.0, "start_temp_c": 20.0}  # fmt: skip
    return {**oven, **more}


def kitchen(**changes: Any) -> Kitchen:
    """A kitchen on UTC with one of everything; ``changes`` replaces whole lists."""
    data: dict[str, Any] = {
        "id": "small",
        "name": "Small kitchen",
        "timezone": "UTC",
        "temperatures": {"room_c": 24.0},
        "mixers": [{"id": "spiral", "name": "Spiral", "min_dough_g": 100.0, "max_dough_g": 40000.0}],
        "benches": [{"id": "bench", "name": "Bench", "places": 2}],
        "racks": [{"id": "rack", "name": "Rack", "count": 1, "tray_places": 40}],
        "ovens": [oven()],
        "pans": [{"id": "tin", "name": "Tin", "count": 4, "tray_share": 0.5, "cool_s": 900.0}],
        "people": [person("ana")],
    }
    return Kitchen.read({**data, **changes}, "kitchen")


def order(due: str, pieces: int = 4, product: str = "loaf", night: dt.date = NIGHT, customer: str = "Shop") -> Order:
    """An order for one night."""
    return Order(customer=customer, product=product, date=night, due=dt.time.fromisoformat(due), pieces=pieces)


def planned(
    formulas: Sequence[Formula],
    orders: Sequence[Order],
    place: Kitchen | None = None,
    *,
    start: dt.datetime | None = MIDNIGHT,
    night: dt.date = NIGHT,
    limit: float = 8.0,
) -> Plan:
    """The plan of a small night, the same every time, gone over by the outsider's check."""
    there = place or kitchen()
    written = {f.id: f for f in formulas}
    plan = plan_night(
        written,
        orders,
        there,
        Pantry(),
        night,
        made_at=MADE_AT,
        start=start,
        time_limit_s=limit,
        workers=1,
        deterministic=True,
    )
    assert wrong_with(plan, there, written) == []
    return plan


def task(plan: Plan, kind: str, of: str = "loaf") -> PlanTask:
    """The one task of that kind of a product."""
    found = [t for t in plan.tasks if t.kind == kind and t.formula == of]
    assert len(found) == 1, [t.id for t in found]
    return found[0]


def stage(data: Mapping[str, Any]) -> Stage:
    """A stage from plain data."""
    return Stage.model_validate(data)
