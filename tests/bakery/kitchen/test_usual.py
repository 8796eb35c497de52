"""A first kitchen and a first formula from a few answers: they hold together, with one another too."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from typing import Literal

import pytest

from smallhours.bakery.formula.audit import audit
from smallhours.bakery.formula.first import USUAL as USUAL_FORMULAS
from smallhours.bakery.formula.first import Style, first_formula
from smallhours.bakery.formula.scaling import scale_by_pieces
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.kitchen.usual import NAMES, USUAL, FirstKitchen, MixerKind, first_kitchen
from smallhours.bakery.orders.kitchen_fit import kitchen_fit, mixers_fit_their_bowls
from smallhours.bakery.pantry import Pantry
from smallhours.errors import DocumentError

ANSWERS = FirstKitchen("Corner", "Europe/Madrid", "Ana")


def test_a_first_kitchen() -> None:
    """Hand: 0.12 of 25 kg is 3 kg; 24 trays fill 2 racks of 18; three decks of three trays."""
    kitchen = first_kitchen(ANSWERS)
    (mixer,), (oven,) = kitchen.mixers, kitchen.ovens
    assert (mixer.min_dough_g, mixer.max_dough_g) == (3000, 25000)
    assert [deck.tray_places for deck in oven.decks] == [3, 3, 3]
    assert kitchen.racks[0].count == 2
    assert kitchen.people[0].hours[0].end == dt.time(8)
    assert list(mixers_fit_their_bowls(kitchen)) == []


@pytest.mark.parametrize("mixer", ["spiral", "planetary", "fork", "hand"])
@pytest.mark.parametrize("oven", ["deck", "convection"])
@pytest.mark.parametrize("style", ["loaf", "bun"])
def test_every_first_formula_fits_every_first_kitchen(
    mixer: MixerKind, oven: Literal["deck", "convection"], style: Style
) -> None:
    """Behaviour: whatever is chosen, nothing is wrong with the formula, and the kitchen can bake it."""
    kitchen = first_kitchen(replace(ANSWERS, mixer=mixer, oven=oven))
    formula = first_formula(replace(USUAL_FORMULAS[style], name="First"))
    assert [f.sentence for f in audit(formula, Pantry()) if f.severity == "wrong"] == []
    assert [f.sentence for f in kitchen_fit(formula, kitchen) if f.severity == "wrong"] == []


def test_a_first_loaf_in_numbers() -> None:
    """Hand: 20 pieces of 900 g are 18 kg divided; 1 % lost twice: 18 000 / 0.99 / 0.99 = 18 365.5 g weighed."""
    formula = first_formula(replace(USUAL_FORMULAS["loaf"], name="First"))
    scaled = scale_by_pieces(formula, Pantry(), 20)
    assert scaled.losses.divided_g == pytest.approx(18_000)
    assert scaled.losses.weighed_g == pytest.approx(18_365.5, abs=0.05)
    assert sum(line.percent or 0 for line in formula.parts[0].lines) == pytest.approx(100 + 66 + 2 + 0.8)


def test_limits_of_the_rests() -> None:
    """Hand: an hour may be 45 min or 80 min."""
    formula = first_formula(replace(USUAL_FORMULAS["loaf"], name="First"))
    proof = next(stage for stage in formula.stages if stage.kind == "proof")
    assert (proof.min_s, proof.duration_s, proof.max_s) == (2700, 3600, 4800)


def test_answers_that_do_not_hold_together() -> None:
    """Bad input: a time zone there is not; a bowl of nothing."""
    for answers in (replace(ANSWERS, timezone="Mars/Olympus"), replace(ANSWERS, mixer_g=0.0)):
        with pytest.raises(DocumentError):
            first_kitchen(answers)


def test_what_is_usual_can_be_added_to_a_kitchen() -> None:
    """Behaviour: each usual thing, named, makes a kitchen that holds together; both languages name the same things."""
    data = first_kitchen(ANSWERS).to_json_data()
    for key, thing in USUAL.items():
        things = [*data.get(key, []), {**thing, "id": "one-more", "name": "One more"}]
        assert getattr(Kitchen.read({**data, key: things}, "kitchen"), key)[-1].id == "one-more"
    assert NAMES["en"].keys() == NAMES["es"].keys()
