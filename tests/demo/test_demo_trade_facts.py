"""What the trade does, looked for in the demo bakery's formulas (common practice where no source is named)."""

from __future__ import annotations

import pytest

from demo.invented_bakery import FORMULAS, KITCHEN, PANTRY, PRODUCTS, WHOLE
from smallhours.bakery.formula.amounts import percentages, prefermented_percent, unit_amounts
from smallhours.bakery.formula.document import Formula, Stage, StageKind
from smallhours.bakery.formula.scaling import scale_by_pans

BUN = WHOLE["harbour-bun"]
INCH_MM = 25.4  # exact: NIST SP 811, Appendix B.8


def _stage(formula: Formula, kind: StageKind, part: str | None = None) -> Stage:
    """The first stage of this kind of a part (the main one, if none is named)."""
    return next(stage for stage in formula.stages_of(part or formula.main) if stage.kind == kind)


def test_a_sheet_of_12_by_16_inches_gives_a_log_of_eight() -> None:
    """Hand: rolled up along its 16 in side the log is 16 in long; cut at 2 in that is 16 / 2 = 8, one pan of eight."""
    assert BUN.shaping is not None
    sheet = BUN.shaping.sheet
    assert sheet is not None
    assert sheet.width_mm == pytest.approx(12 * INCH_MM)
    assert sheet.length_mm == pytest.approx(16 * INCH_MM)
    assert sheet.roll_along == "length"
    assert sheet.slice_width_mm is not None
    assert sheet.slice_width_mm == pytest.approx(2 * INCH_MM)
    assert round(sheet.length_mm / sheet.slice_width_mm, 6) == sheet.slices == BUN.pieces_per_pan == 8


@pytest.mark.parametrize("name", ["harbour-bun", "croissant", "focaccia", "mast-stick"])
def test_a_sheet_weighs_what_its_size_says(name: str) -> None:
    """Hand: mass = area x thickness x density; bun 30.48 x 40.64 x 0.8 cm = 991 cm3, 1136 g, 1.15 g/cm3.

    Degassed dough is 1.10 to 1.20 g/cm3 (common practice). Whole pieces come out, less what is trimmed away.
    """
    formula = PRODUCTS[name]
    assert formula.shaping is not None
    assert formula.output is not None
    sheet = formula.shaping.sheet
    assert sheet is not None
    assert sheet.thickness_mm is not None
    assert sheet.dough_mass_g is not None
    assert sheet.pieces is not None
    assert formula.output.piece_mass_g is not None
    volume_cm3 = sheet.length_mm * sheet.width_mm * sheet.thickness_mm / 1000
    assert 1.10 <= sheet.dough_mass_g / volume_cm3 <= 1.20
    used = sheet.pieces * formula.output.piece_mass_g / sheet.dough_mass_g
    assert 1 - formula.output.divide_loss_percent / 100 - 0.001 <= used <= 1.0


def test_the_bun_has_two_flours_and_a_spice() -> None:
    """Hand: 30 of 100 parts of flour are whole grain, 70 white; the spice is in the dough."""
    dough = percentages(BUN, PANTRY, "dough")
    assert dough["whole-wheat-flour"] == pytest.approx(30)
    assert dough["bread-flour"] == pytest.approx(70)
    assert 0 < dough["cardamom"] < 2


@pytest.mark.parametrize("name", ["harbour-bun", "brioche", "egg-dough", "milk-loaf", "dinner-roll"])
def test_butter_waits_for_the_gluten(name: str) -> None:
    """Hand: about 3 min low to combine, about 5 high to develop, then the butter 5 to 10 min on low, soft but cool.

    So a brioche-type dough has 3 + 5..10 = 8 to 13 min low and 5 or 6 high in all. Common practice.
    """
    formula = WHOLE[name]
    butter = [line for line in formula.part("dough").lines if line.ingredient == "butter-unsalted"]
    assert all(line.after_development and line.addition > 1 for line in butter)
    assert all(line.temp_c is not None and 14 <= line.temp_c <= 20 for line in butter)
    mix = _stage(formula, "mix")
    assert mix.high_s in (5 * 60, 6 * 60)
    if name in ("harbour-bun", "brioche"):
        assert mix.low_s is not None
        assert 8 * 60 <= mix.low_s <= 13 * 60


def test_the_bun_rests_chills_proofs_and_bakes_as_long_as_the_trade_does() -> None:
    """Hand: about 2 h of rest, about 2 h as a slab, a short chill of the log, 1.5 h of proof or a night, 45 to 50 min.

    Common practice; 350 °F is (350 - 32) / 1.8 = 176.67 °C.
    """
    kinds = [stage.kind for stage in BUN.stages_of("dough")]
    assert kinds == [
        "weigh", "mix", "ferment", "chill", "sheet", "fill", "roll", "chill", "slice", "proof", "bake", "cool",
        "finish",
    ]  # fmt: skip
    rest, slab, proof, bake = (_stage(BUN, kind) for kind in ("ferment", "chill", "proof", "bake"))
    assert (rest.duration_s, rest.at_temp_c) == (2 * 3600, 24)
    assert (slab.duration_s, slab.min_s) == (2 * 3600, 2 * 3600)
    log = next(stage for stage in BUN.stages if stage.id == "chill-log")
    assert log.duration_s is not None
    assert log.duration_s <= 30 * 60
    assert proof.duration_s == 1.5 * 3600
    night = next(way for way in proof.instead if way.place == "fridge")
    assert night.min_s is not None
    assert night.min_s >= 8 * 3600
    assert (bake.min_s, bake.max_s) == (45 * 60, 50 * 60)
    assert bake.set_temp_c == pytest.approx(176.67)


def test_the_filling_keeps_its_sugar_to_butter_ratio() -> None:
    """Hand: 150 of sugar on 100 of butter is 1.5, for one pan as for ten; stirred, spread at room temperature."""
    for pans in (1, 10):
        held = scale_by_pans(BUN, PANTRY, pans).amounts.ingredients("filling")
        assert held["sugar-brown"] / held["butter-unsalted"] == pytest.approx(1.5)
    filling = BUN.part("filling")
    assert {"bread-flour", "salt", "cinnamon"} <= {line.ingredient for line in filling.lines}
    assert all(line.temp_c == 20 for line in filling.lines if line.ingredient == "butter-unsalted")
    assert _stage(BUN, "mix", "filling").place == "bench"
    share = scale_by_pans(BUN, PANTRY, 10).amounts
    assert 0.25 <= share.parts["filling"].mass_g / share.parts["dough"].mass_g <= 0.45  # usual in bakeries


def test_braid_and_burger_bun_share_a_dough() -> None:
    """Behaviour: both rest on the same base, and their dough is the same."""
    assert FORMULAS["braid"].base == FORMULAS["burger-bun"].base == "egg-dough"
    assert WHOLE["braid"].part("dough") == WHOLE["burger-bun"].part("dough") == FORMULAS["egg-dough"].part("dough")


def test_the_poolish_counts_as_flour() -> None:
    """Hand: 25 % of all flour is in the poolish, with as much water as flour; in the dough 72 on 100 in all.

    So the dough itself takes 80 - 25 = 55 of bread flour and 72 - 25 = 47 of water for 100 of flour.
    """
    loaf = WHOLE["quay-loaf"]
    assert prefermented_percent(loaf, PANTRY) == pytest.approx(25)
    amounts = unit_amounts(loaf, PANTRY)
    lines = {line.key: 100 * line.mass_g / amounts.flour_g for line in amounts.parts["dough"].lines}
    assert lines["bread-flour"] == pytest.approx(55)
    assert lines["water"] == pytest.approx(47)
    assert percentages(loaf, PANTRY, "dough", "total")["water"] == pytest.approx(72)


def test_the_laminated_dough_is_cool_and_never_too_warm() -> None:
    """Published: lamination dough 16 to 20 °C, proof at most 28 °C (IREKS Compendium 11.3, 11.5)."""
    croissant = WHOLE["croissant"]
    target = croissant.part("dough").target_temp_c
    assert target is not None
    assert 16 <= target <= 20
    proof = _stage(croissant, "proof")
    temps = [proof.at_temp_c, *(way.at_temp_c for way in proof.instead)]
    assert all(temp is not None and temp <= 28 for temp in temps)
    kinds = [stage.kind for stage in croissant.stages_of("laminated")]
    assert kinds[:5] == ["sheet", "chill", "sheet", "chill", "sheet"]


@pytest.mark.parametrize("name", sorted(PRODUCTS))
def test_a_night_in_the_fridge_is_long_enough_and_not_too_long(name: str) -> None:
    """Published: shaped pieces keep at 0 to 5 °C for 48 h at most (IREKS Compendium 6.2).

    A night is 8 to 18 h (common practice), and every fridge of the kitchen holds 0 to 5 °C.
    """
    nights = [way for stage in PRODUCTS[name].stages for way in stage.instead if way.place == "fridge"]
    for way in nights:
        assert way.min_s is not None
        assert way.max_s is not None
        assert 8 * 3600 <= way.min_s <= way.duration_s <= way.max_s <= 18 * 3600
    assert all(0 <= cold.temp_c <= 5 for cold in KITCHEN.cold)


@pytest.mark.parametrize("name", ["milk-loaf", "brioche"])
def test_tins_are_filled_as_the_trade_fills_them(name: str) -> None:
    """Published: volume of the tin over mass of dough, 3.06 cm3/g (450 g in 8 x 3.5 x 3 in) to 4.39 (7.6 in3/oz).

    From a whole-grain baker's table of tins and an English bakers' manual; 7.6 x 16.387 / 28.35 = 4.39.
    """
    formula = PRODUCTS[name]
    pan = next(p for p in KITCHEN.pans if p.id == formula.pan)
    assert formula.output is not None
    assert formula.output.piece_mass_g is not None
    assert pan.volume_ml is not None
    assert 3.06 <= pan.volume_ml / formula.output.piece_mass_g <= 4.39


@pytest.mark.parametrize("name", sorted(PRODUCTS))
def test_baked_through_at_the_core(name: str) -> None:
    """Published: lean bread 93 to 98 °C, soft and rich 85 to 95 (bakers' mailing list v108n020), over 90 (IREKS 7.5).

    Cakes, muffins and scones 93 to 99: common practice.
    """
    core = _stage(PRODUCTS[name], "bake").core_temp_c
    assert core is not None
    if name in {"quay-loaf", "mooring-loaf", "seeded-loaf", "focaccia", "mast-stick"}:
        assert 93 <= core <= 98
    elif name in {"muffin", "scone", "tea-cake"}:
        assert 93 <= core <= 99
    else:
        assert 90 <= core <= 95
