"""Sheets, logs, slices, pieces and pans of a formula's shaping."""

from __future__ import annotations

import math

import pytest

from forecast.demo_bakery import formulas, kitchen, pantry
from smallhours.bakery.formula.document import Shaping, Sheet
from smallhours.bakery.formula.scaling import Scaled, scale_by_pans
from smallhours.bakery.process.shaped import PieceShape, Shaped, grid, grown, proof_growth, shaped


def _scaled(slug: str) -> Scaled:
    return scale_by_pans(formulas()[slug], pantry(), 1)


def _shaped(slug: str) -> Shaped:
    return shaped(formulas()[slug], _scaled(slug), kitchen())


def test_a_filled_roll_by_its_areas() -> None:
    """Hand: 1136 g of dough and 32 % filling on 406.4 x 304.8 mm: the filling is 363.5 g / 1.15 g/cm3 / 1238.7 cm2 =
    2.55 mm thick beside 8 mm of dough. Rolled over 304.8 mm: D = sqrt(4 x 304.8 x 10.55 / pi) = 64.0 mm, and
    64.0 / 2 / 10.55 = 3.03 turns. The log is 16 in long: eight slices of 2 in, nothing left.
    """
    rolled = _shaped("harbour-bun").sheet.rolled
    assert (rolled.rolled_mm, rolled.length_mm) == (pytest.approx(304.8), pytest.approx(406.4))
    assert rolled.filling_mm == pytest.approx(2.55, abs=0.01)
    assert rolled.diameter_mm == pytest.approx(64.0, abs=0.05)
    assert rolled.turns == pytest.approx(3.03, abs=0.01)
    assert (rolled.slices, rolled.rest_mm) == (8, pytest.approx(0.0, abs=1e-6))


def test_slices_in_their_pan() -> None:
    """Hand: 33 x 23 cm for eight is 4 x 2 rooms of 82.5 x 115 mm. A slice of 64.0 x 50.8 mm grows to 2.2 times its
    volume, alike in all directions: 64.0 x 2.2^(1/3) = 83.2 mm; at 82.5 mm distance 4 arccos(82.5 / 83.2) / pi =
    17 % touch.
    Its 163.4 ml fill 8 x 163.4 / (33 x 23 x 8 cm) = 21.5 % of the pan, after the proof 47.4 %.
    """
    pan = _shaped("harbour-bun").pan
    assert (pan.columns, pan.rows) == (4, 2)
    assert pan.after.width_mm == pytest.approx(64.0 * 2.2 ** (1 / 3), abs=0.1)
    assert pan.touching == pytest.approx(4 * math.acos(82.5 / pan.after.width_mm) / math.pi, abs=1e-9)
    assert pan.touching == pytest.approx(0.17, abs=0.01)
    assert pan.filled_before == pytest.approx(0.215, abs=0.002)
    assert pan.filled_after == pytest.approx(2.2 * pan.filled_before, rel=1e-9)


def test_a_loaf_in_its_tin_by_volume() -> None:
    """Hand: 840 g of dough at 1.15 g/cm3 are 730 ml in a tin of 2.95 l: 24.8 % full, at 2.6 times the volume 64.4 %."""
    pan = _shaped("milk-loaf").pan
    assert pan.filled_before == pytest.approx(840 / 1.15 / 2950, abs=1e-9)
    assert pan.filled_after == pytest.approx(0.644, abs=0.001)


@pytest.mark.parametrize("outline", ["round", "long", "flat"])
def test_growth_keeps_the_volume(outline: str) -> None:
    """Limit: however it grows, its volume is so many times what it was; by once, it stays as it is."""
    piece = PieceShape(outline, 200.0, 60.0, 50.0) if outline != "round" else PieceShape("round", 60.0, 60.0, 50.0)
    if outline == "long":
        piece = PieceShape("long", 200.0, 60.0, 60.0)
    assert grown(piece, 2.4).volume_ml == pytest.approx(2.4 * piece.volume_ml, rel=1e-9)
    assert grown(piece, 1.0).width_mm == pytest.approx(piece.width_mm)


def test_the_squarest_room_for_each_piece() -> None:
    """Hand: by eye: 8 on 330 x 230 stand 4 by 2, 12 on 350 x 270 4 by 3, 6 on 600 x 400 3 by 2, one alone."""
    assert [grid(8, 330, 230), grid(12, 350, 270), grid(6, 600, 400), grid(1, 300, 100)] == [
        (4, 2),
        (4, 3),
        (3, 2),
        (1, 1),
    ]


def test_the_last_rise_before_the_oven_counts() -> None:
    """Behaviour: the proof's rise, not the bulk's; None where no proof says how far."""
    bun = formulas()["harbour-bun"]
    assert proof_growth(bun) == 2.2
    silent = tuple(stage.model_copy(update={"rise": None}) for stage in bun.stages)
    assert proof_growth(bun.model_copy(update={"stages": silent})) is None


def test_a_thickness_that_is_not_given_follows_from_the_dough() -> None:
    """Hand: 1136 g at 1.15 g/cm3 on 406.4 x 304.8 mm lie 7.97 mm thick."""
    bun = formulas()["harbour-bun"]
    sheet = bun.shaping.sheet.model_copy(update={"thickness_mm": None})
    changed = bun.model_copy(update={"shaping": bun.shaping.model_copy(update={"sheet": sheet})})
    assert shaped(changed, _scaled("harbour-bun"), kitchen()).sheet.thickness_mm == pytest.approx(7.97, abs=0.01)


def test_a_laminated_sheet_has_layers_and_pieces() -> None:
    """Hand: three letter folds are 27 layers of butter; a sheet that is not rolled is cut into its pieces."""
    bun = formulas()["harbour-bun"]
    sheet = Sheet(length_mm=600, width_mm=400, thickness_mm=4, folds=(3, 3, 3), pieces=24)
    changed = bun.model_copy(update={"shaping": Shaping(form="cut", sheet=sheet)})
    found = shaped(changed, _scaled("harbour-bun"), kitchen()).sheet
    assert (found.layers, found.pieces, found.rolled) == (27, 24, None)


@pytest.mark.parametrize("slug", sorted(formulas()))
def test_every_formula_of_the_invented_bakery_can_be_looked_at(slug: str) -> None:
    """Behaviour: sizes are above nothing, and no pan is fuller than a loaf with its crown."""
    formula = formulas()[slug]
    if formula.output is None:
        assert scale_or_none(slug) is None
        return
    found = _shaped(slug)
    if found.piece is not None:
        assert min(found.piece.length_mm, found.piece.width_mm, found.piece.height_mm) > 1.0
    if found.pan is not None and found.pan.filled_after is not None:
        assert 0.1 < found.pan.filled_after < 1.3


def scale_or_none(slug: str) -> PieceShape | None:
    """A dough that others share has no piece to draw."""
    from smallhours.bakery.formula.scaling import scale_by_dough_mass

    return shaped(formulas()[slug], scale_by_dough_mass(formulas()[slug], pantry(), 5000.0), kitchen()).piece
