"""A kitchen is told of what it cannot make before an order asks for it."""

from __future__ import annotations

import pytest

from smallhours.bakery.formula.document import Formula, Line, Part, Stage, Yield
from smallhours.bakery.kitchen.document import Deck, Kitchen, Mixer, Oven, Pan, Temperatures
from smallhours.bakery.orders.kitchen_fit import kitchen_fit, mixers_fit_their_bowls

OVEN = Oven(
    id="stone", name="Stone", kind="deck", decks=(Deck(id="top", tray_places=2),), max_temp_c=250,
    heat_k_per_min=4, cool_k_per_min=2, steam=True,
)  # fmt: skip
KITCHEN = Kitchen(
    id="k",
    name="K",
    timezone="UTC",
    temperatures=Temperatures(room_c=20),
    ovens=(OVEN,),
    pans=(Pan(id="tin", name="Tin", count=4), Pan(id="slab", name="Slab", count=2, tray_share=3)),
)
BAKE = Stage(kind="bake", duration_s=1800, set_temp_c=240, steam=True, oven="deck", core_temp_c=97)


def _loaf(bake: Stage = BAKE, pan: str | None = "tin") -> Formula:
    return Formula(
        id="loaf",
        name="Loaf",
        pan=pan,
        output=Yield(piece_mass_g=900),
        parts=(Part(id="dough", name="Dough", lines=(Line(ingredient="bread-flour", percent=100),)),),
        stages=(bake,),
    )


def _told(formula: Formula, **changed: object) -> dict[str, str]:
    found = kitchen_fit(formula, KITCHEN.model_copy(update=changed))
    return {finding.rule: finding.sentence for finding in found}


def test_a_kitchen_that_has_everything() -> None:
    """Limit: pan, oven and height all fit: nothing to say; the same for a dough that is never baked."""
    assert _told(_loaf()) == {}
    assert _told(_loaf(Stage(kind="rest", duration_s=60)), ovens=()) == {}


@pytest.mark.parametrize(
    ("bake", "oven", "sentence"),
    [
        ({"set_temp_c": 270}, {}, "at 270 °C or more"),
        ({"oven": "convection"}, {}, "in a convection oven"),
        ({}, {"steam": False}, "with steam"),
    ],
)
def test_an_oven_that_cannot_do_the_bake(bake: dict[str, object], oven: dict[str, object], sentence: str) -> None:
    """Behaviour: too hot, of another kind, with steam that there is none of: said with what was wanted and is there."""
    formula = _loaf(BAKE.model_copy(update=bake))
    said = _told(formula, ovens=(OVEN.model_copy(update=oven),))
    assert set(said) == {"kitchen_has_the_oven"}
    assert sentence in said["kitchen_has_the_oven"]
    assert "'stone': deck, up to 250 °C" in said["kitchen_has_the_oven"]


def test_no_oven_and_no_room() -> None:
    """Limit: a kitchen without an oven; a pan of three tray places in chambers of two; a pan that is not there."""
    assert "has no oven" in _told(_loaf(), ovens=())["kitchen_has_the_oven"]
    assert "largest oven chamber has 2" in _told(_loaf(pan="slab"))["kitchen_has_the_oven"]
    assert "none of it" in _told(_loaf(pan="basket"))["kitchen_has_the_pans"]


@pytest.mark.parametrize(("altitude_m", "core_c", "speaks"), [(0, 98, False), (0, 99, True), (1609, 93, False),
                                                              (1609, 94, True), (3000, 91, True)])  # fmt: skip
def test_the_core_under_boiling_water(altitude_m: float, core_c: float, speaks: bool) -> None:
    """Published: water boils at 100 °C at the sea, 94.7 °C at a mile (1609 m), 90.0 °C at 3000 m (standard
    atmosphere, steam tables); a core stays 2 K under it."""
    said = _told(_loaf(BAKE.model_copy(update={"core_temp_c": core_c})), altitude_m=altitude_m)
    assert ("core_can_be_reached" in said) is speaks
    if altitude_m == 3000:
        assert "at 3000 m water boils at 90 °C" in said["core_can_be_reached"]
        assert "no hotter than about 88 °C" in said["core_can_be_reached"]


@pytest.mark.parametrize(
    ("bowl", "takes_g", "told"),
    [
        ("20 l", 11_300, False),  # makers' chart at 60 % water
        ("30 qt", 18_140, False),  # 40 lb, the fullest bowl of the charts: 0.64 kg a litre
        ("20 l", 20_000, True),
        (None, 20_000, False),  # nothing to compare with
    ],
)
def test_a_bowl_and_what_it_is_said_to_take(bowl: str | None, takes_g: float, told: bool) -> None:
    """Published: charts in planetary mixer manuals, dough of 60 % water: 20 l takes 11.3 kg, 30 qt takes 40 lb."""
    data = {"id": "m", "name": "M", "kind": "planetary", "min_dough_g": 1000, "max_dough_g": takes_g}
    mixer = Mixer.model_validate(data if bowl is None else {**data, "bowl": bowl})
    found = list(mixers_fit_their_bowls(KITCHEN.model_copy(update={"mixers": (mixer,)})))
    assert [finding.rule for finding in found] == ["mixers_fit_their_bowls"] * told


def test_a_spiral_goes_by_its_own_figure() -> None:
    """Limit: the charts are of planetary mixers; a spiral with the same bowl is not judged by them."""
    mixer = Mixer(id="s", name="S", kind="spiral", bowl_ml=20_000, min_dough_g=1000, max_dough_g=20_000)
    assert not list(mixers_fit_their_bowls(KITCHEN.model_copy(update={"mixers": (mixer,)})))
