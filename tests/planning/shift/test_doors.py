"""Cold places that are opened only so often."""

from __future__ import annotations

from typing import Any

from planning.shift.small_bakery import MIDNIGHT, formula, kitchen, order, person, planned, stages
from planning.sound import wrong_with
from smallhours.planning.plan import Plan
from smallhours.planning.shift.remarks import busiest_hour

COLD_PROOF = {"place": "fridge", "duration_s": 4 * 3600.0, "min_s": 3 * 3600.0, "max_s": 9 * 3600.0, "at_temp_c": 4.0,
              "temper_s": 1800.0}  # fmt: skip


def night(most: int | None) -> tuple[Plan, Any]:
    """Four lots of one load each that proof in the fridge, due within half an hour of one another, and the kitchen."""
    cold: dict[str, Any] = {"id": "cold", "name": "Cold room", "temp_c": 4.0, "tray_places": 40}
    if most is not None:
        cold["most_openings_per_h"] = most
    people = [person(name, "00:00:00", "20:00:00") for name in ("ana", "ben")]
    there = kitchen(cold=[cold], people=people)
    orders = [order(due, 4) for due in ("11:00", "11:10", "11:20", "11:30")]
    return planned([formula(chain=stages(("proof", COLD_PROOF)))], orders, there, start=MIDNIGHT), there


def test_a_cold_place_is_opened_no_more_often_than_wanted() -> None:
    """Hand: four lots are eight openings. Without a limit three or more of them fall into one hour; with two an hour
    they may not, and the plan says so.
    """
    free, _ = night(None)
    assert busiest_hour(free, "cold")[0] > 2
    assert not any("put in or taken out" in note for note in free.notes)
    limited, _ = night(2)
    assert busiest_hour(limited, "cold")[0] <= 2
    assert any(
        note.startswith("Cold room: in no hour is something put in or taken out more than 2") for note in limited.notes
    )
    assert next(r for r in limited.resources if r.id == "cold").most_openings_per_h == 2


def test_the_check_finds_what_is_opened_too_often() -> None:
    """Behaviour: the plan made without a limit breaks one; a plan that tells another limit than the kitchen's, too."""
    free, there = night(None)
    cold = next(r for r in free.resources if r.id == "cold")
    resources = tuple(r for r in free.resources if r.id != "cold")
    said = free.model_copy(update={"resources": (*resources, cold.model_copy(update={"most_openings_per_h": 2}))})
    found = [each for each in wrong_with(said, there) if each.startswith("door: ")]
    assert any("at most 2 are wanted" in each for each in found)
    assert any("the kitchen says any number" in each for each in found)
