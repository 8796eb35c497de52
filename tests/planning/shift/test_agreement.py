"""Plan and forecast agree: the same dough, hour and place has the same numbers in both."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from planning.shift.small_bakery import (
    MIDNIGHT,
    NIGHT,
    formula,
    kitchen,
    minutes,
    order,
    oven,
    planned,
    stages,
    task,
)
from smallhours.bakery.formula.document import Formula, Place
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import batches
from smallhours.bakery.pantry import Pantry
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.formula_forecast import forecast_formula
from smallhours.planning.engine.problem import Solution
from smallhours.planning.plan import Plan
from smallhours.planning.shift.clock import clock_for
from smallhours.planning.shift.equipment import equipment_of
from smallhours.planning.shift.plan_night import Asked, night_question
from smallhours.planning.shift.rounds import Answer, hours_of, note_of

COURSE = [{"at": "00:00:00", "temp_c": 20.0}, {"at": "04:00:00", "temp_c": 15.0}, {"at": "12:00:00", "temp_c": 24.0}]
COLD_NIGHT = {"room_c": 20.0, "room_course": COURSE}
FRIDGES = [
    {"id": "still", "name": "Still fridge", "temp_c": 5.0, "tray_places": 12},
    {"id": "fan", "name": "Fan fridge", "temp_c": 2.0, "tray_places": 20, "moving_air": True},
]
FERMENT = {"at_temp_c": 24.0, "min_s": 2400.0, "max_s": 7200.0}
PROOF = {"at_temp_c": 26.0, "min_s": 2400.0, "max_s": 6600.0, "rise": 2.2}
NIGHT_WAY = {
    "place": "fridge", "duration_s": 10 * 3600.0, "min_s": 8 * 3600.0, "max_s": 14 * 3600.0, "at_temp_c": 4.0,
    "temper_s": 3600.0,
}  # fmt: skip


def bread(proof: dict[str, Any] | None = None, ferment: dict[str, Any] | None = None) -> Formula:
    """The usual bread with a dough of 25 °C that ferments at 24 °C."""
    lines = [line.model_dump() for line in formula().parts[0].lines]
    parts = [{"id": "dough", "name": "Dough", "target_temp_c": 25.0, "lines": lines}]
    chain = stages(("ferment", ferment or FERMENT), ("proof", proof or PROOF))
    return formula(chain=chain, parts=parts)


def forecast_of(plan: Plan, written: Formula, place: Kitchen, way: Place | None = None) -> dict[str, tuple[float, ...]]:
    """What the forecast of its formula says for the dough of a plan: least, wanted, most, low, high of each stage."""
    proof = task(plan, "proof")
    kept = {t.stage: (t.end - t.start).total_seconds() for t in plan.tasks if t.kind == "ferment"}
    conditions = Conditions(
        place,
        start=task(plan, "mix").start,
        dough_mass_g=plan.batches[0].mass_g,
        lengths_s=kept,
        ways={} if way is None else {"proof": way},
        equipment={} if way is None else {way: proof.place},
    )
    told = forecast_formula(joined(written, {}.__getitem__), Pantry(), conditions)
    return {
        each.key: (each.earliest.median, each.length.median, each.latest.median, each.length.low, each.length.high)
        for each in told.stages
    }


def close(plan: Plan, told: dict[str, tuple[float, ...]], kinds: tuple[str, ...]) -> None:
    """The windows of a plan are those of a forecast, within a tick."""
    for kind in kinds:
        window = task(plan, kind).window
        low_s, high_s = window.low_s or 0.0, window.high_s or 0.0
        assert (window.min_s, window.preferred_s, window.max_s, low_s, high_s) == pytest.approx(
            told[kind], abs=plan.tick_s
        ), kind


@pytest.mark.parametrize("due", ["02:00", "09:30"])
def test_a_plan_says_what_a_forecast_says(due: str) -> None:
    """Round trip: for the same dough, mixed at the same hour and kept as long, in a room that is coldest at four."""
    place, written = kitchen(temperatures=COLD_NIGHT, pans=[]), bread()
    begin = MIDNIGHT if due == "02:00" else MIDNIGHT + minutes(8 * 60)  # too late for it, so that nothing ever waits
    plan = planned([written], [order(due)], place, start=begin)
    assert task(plan, "mix").start == begin
    assert plan.residual_s < 60
    close(plan, forecast_of(plan, written, place), ("ferment", "proof"))


def test_a_night_in_the_fridge_says_what_a_forecast_says() -> None:
    """Round trip: in the fridge that the plan took, with its fan and its own temperature, and the room after it."""
    place = kitchen(temperatures=COLD_NIGHT, cold=FRIDGES, pans=[])
    written = bread({"place": "fridge", **{k: v for k, v in NIGHT_WAY.items() if k != "place"}, "rise": 2.2})
    plan = planned([written], [order("05:00")], place)
    close(plan, forecast_of(plan, written, place, "fridge"), ("proof",))


def test_a_stage_takes_longer_at_the_hour_when_the_kitchen_is_colder() -> None:
    """Limit: where the room is 15 °C at four and 24 °C at noon, proofs at four take longer, within the same limits of
    the formula moved alike; where it stands at 24 °C all day they take as long."""
    night_due, day_due = order("04:00"), order("12:00")
    cold = kitchen(temperatures=COLD_NIGHT, pans=[])
    early, late = (planned([bread()], [each], cold, start=None) for each in (night_due, day_due))
    assert task(early, "proof").window.preferred_s > 1.1 * task(late, "proof").window.preferred_s
    even = kitchen(pans=[])
    early, late = (planned([bread()], [each], even, start=None) for each in (night_due, day_due))
    assert task(early, "proof").window.preferred_s == pytest.approx(task(late, "proof").window.preferred_s, abs=60)


def test_what_comes_out_of_the_cold_stands_on_the_rack_as_long_as_the_room_makes_it() -> None:
    """Limit: an hour in a room as warm as the formula means, as written; longer in a colder one, on the rack for all of
    it, and out of the fridge."""
    proof = {**{k: v for k, v in NIGHT_WAY.items() if k != "place"}, "place": "fridge", "rise": 2.2}
    fridge = [{"id": "fridge", "name": "Fridge", "temp_c": 4.0, "tray_places": 12}]
    written = bread(proof, {"at_temp_c": 24.0})
    places = [kitchen(cold=fridge, temperatures={"room_c": room_c}, pans=[]) for room_c in (24.0, 17.0)]
    same, cold = (planned([written], [order("12:30")], place) for place in places)
    assert same.orders[0].late_s == 0
    warm_s, cold_s = (task(plan, "proof").window.temper_s or 0.0 for plan in (same, cold))
    assert warm_s == pytest.approx(3600.0, abs=60)
    assert cold_s > 1.4 * warm_s
    out = task(cold, "proof")
    (racked,) = [use for use in out.uses if use.resource == "rack"]
    (chilled,) = [use for use in out.uses if use.resource == "fridge"]
    assert (racked.end, chilled.end) == (out.end, racked.start)
    assert (racked.end - racked.start).total_seconds() == pytest.approx(cold_s, abs=60)


def test_hours_are_reckoned_back_where_no_plan_was_found() -> None:
    """Hand: due at 09:00, cooled from 08:20, baked from 07:50, proofed from 07:00, shaped from 06:50, risen from
    05:50, mixed from 05:40."""
    place, written = kitchen(ovens=[oven()]), formula()
    wanted = [order("09:00")]
    made = batches(wanted, {"loaf": written}, place, Pantry())
    clock = clock_for(NIGHT, place.zone(), MIDNIGHT + dt.timedelta(hours=9), MIDNIGHT)
    asked = Asked({"loaf": joined(written, {}.__getitem__)}, wanted, place, Pantry(), NIGHT)
    night, question = night_question(asked, made, clock, equipment_of(place))
    hours = hours_of(Answer(night, question, Solution("unknown")))
    found = {name.rsplit(":", 1)[1]: at.start for name, at in hours.items()}
    assert found == {"mix": 340, "ferment": 350, "shape": 410, "proof": 420, "bake": 470, "cool": 500}


def test_a_difference_that_matters_is_said() -> None:
    """Behaviour: nothing under five minutes, a sentence from there."""
    assert note_of(299.0) == ()
    assert "up to 7 min" in note_of(420.0)[0]
