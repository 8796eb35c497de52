"""What other nights take is counted when a plan is verified, and what is said to be left over is looked at."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from planning.check.good_night import DOCUMENTS, found_in, plan
from planning.shift.small_bakery import formula, kitchen, order, planned, task
from planning.sound import wrong_with
from smallhours.planning.plan import Plan, PlanTask, Taken


@cache
def _night() -> Plan:
    """A night with one loaf in its own tin of two."""
    return planned([formula(pan="tin", pieces_per_pan=2)], [order("06:00", 3)])


def _with(stage: PlanTask, **taken: Any) -> list[str]:
    """What is wrong if another night takes something while a stage lasts."""
    night = _night()
    other = Taken(night=night.night.replace(day=1), **{"amount": 1, "start": stage.start, "end": stage.end, **taken})
    return wrong_with(
        night.model_copy(update={"taken": (other,)}), kitchen(), {"loaf": formula(pan="tin", pieces_per_pan=2)}
    )


@pytest.mark.parametrize(
    ("kind", "stage", "taken"),
    [
        ("capacity: spiral", "mix", {"resource": "spiral"}),
        ("capacity: bench", "shape", {"resource": "bench", "amount": 2}),
        ("capacity: tin", "bake", {"resource": "tin", "amount": 3}),
        ("capacity: oven.deck", "bake", {"resource": "oven.deck", "amount": 8}),
        ("hands: ana", "shape", {"resource": "people", "person": "ana"}),
        ("capacity: people", "shape", {"resource": "people", "person": "ana"}),
        ("oven: oven.deck", "bake", {"resource": "oven.deck", "amount": 0, "set_temp_c": 250.0}),
    ],
)
def test_what_another_night_takes_is_not_there(kind: str, stage: str, taken: dict[str, Any]) -> None:
    """Behaviour: mixer, bench, tins, tray places, hands, a deck at another temperature: each found under its kind."""
    assert any(said.startswith(kind) for said in _with(task(_night(), stage), **taken))


@pytest.mark.parametrize(
    ("stage", "taken"),
    [
        ("shape", {"resource": "spiral"}),
        ("shape", {"resource": "bench"}),
        ("bake", {"resource": "tin", "amount": 2}),
        ("bake", {"resource": "oven.deck", "amount": 7}),
        ("bake", {"resource": "oven.deck", "amount": 0, "set_temp_c": 200.0}),
        ("ferment", {"resource": "people", "person": "ana"}),
    ],
)
def test_what_another_night_takes_beside_is_no_matter(stage: str, taken: dict[str, Any]) -> None:
    """Behaviour: as much as fits beside this night is nothing wrong."""
    assert _with(task(_night(), stage), **taken) == []


def test_what_is_left_over_and_free_is_looked_at() -> None:
    """Behaviour: dough that is needed is not left over, no formula here fills its bowls, pans hold what they hold."""
    for field, value, said in (
        ("over_g", 500.0, "are left over"),
        ("over_g", 500.0, "does not fill bowls"),
        ("over_g", -1.0, "has -1 g left over"),
    ):
        spoilt = plan()
        spoilt["batches"][0][field] = value
        assert any(said in each for each in found_in(spoilt, DOCUMENTS)), said
    spoilt = plan()
    spoilt["batches"][0]["lots"][0]["free_places"] = 5
    assert any("has room for 5 more pieces" in each for each in found_in(spoilt, DOCUMENTS))
