"""Mass per area for slabs, volume over surface for the rest."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smallhours.bakery.formula.document import Formula, Line, Part, Shaping, Sheet
from smallhours.bakery.kitchen.document import Kitchen, Temperatures
from smallhours.errors import OutOfRange
from smallhours.forecast.sizes import (
    Size,
    ball_size,
    bulk_size,
    chilled_bulk_size,
    log_size,
    piece_size,
    slab_size,
    slice_size,
)

KITCHEN = Kitchen(id="k", name="K", timezone="UTC", temperatures=Temperatures(room_c=20), slab_mass_g=5000)


def _formula(shaping: Shaping, pieces_per_pan: int = 1) -> Formula:
    part = Part(id="dough", name="Dough", lines=(Line(ingredient="bread-flour", percent=100),))
    return Formula(id="f", name="F", parts=(part,), shaping=shaping, pieces_per_pan=pieces_per_pan)


def test_sheet_thickness() -> None:
    """Hand: thickness = mass / (density x area): 3.00 kg of 1150 kg/m3 on 400 x 600 mm = 10.87 mm."""
    assert 2 * slab_size(3000, 400 * 600).radius_mm == pytest.approx(10.87, abs=0.005)


def test_ball() -> None:
    """Hand: 60 g at 1150 kg/m3 is 52.2 cm3, a ball of 46.4 mm; at 2.5 times its volume 62.9 mm (x 2.5^(1/3))."""
    assert 2 * ball_size(60).radius_mm == pytest.approx(46.4, abs=0.05)
    assert 2 * ball_size(60).risen(2.5).radius_mm == pytest.approx(62.9, abs=0.1)


def test_an_insulated_underside_counts_as_twice_the_slab() -> None:
    """Limit: no heat through the underside equals a slab of twice the thickness cooled on both sides."""
    assert slab_size(1000, 1e5, underside=0).radius_mm == pytest.approx(slab_size(2000, 1e5).radius_mm)


def test_log_of_a_length() -> None:
    """Hand: 900 g, 300 mm long: 782 609 mm3 / 300 = 2609 mm2 = pi r2, r = 28.8 mm."""
    assert log_size(900, 300).radius_mm == pytest.approx(28.82, abs=0.01)


def test_slice_of_a_log() -> None:
    """Hand: 100 g, 50 mm wide: area 1739 mm2, r 23.53, surface 2 x 1739 + 2 pi 23.53 x 50 = 10 870; 3 V / S = 24.0."""
    assert slice_size(100, 50).radius_mm == pytest.approx(24.0, abs=0.02)


def test_bulk_chilled_on_trays_keeps_its_thickness() -> None:
    """Limit: 5 kg on a tray and 20 kg on four are equally thick; 12 kg goes on three trays, thinner."""
    assert chilled_bulk_size(20000, KITCHEN) == chilled_bulk_size(5000, KITCHEN)
    assert chilled_bulk_size(12000, KITCHEN).radius_mm == pytest.approx(
        0.8 * chilled_bulk_size(5000, KITCHEN).radius_mm
    )


@pytest.mark.parametrize(
    ("shaping", "pieces_per_pan", "expected"),
    [
        (Shaping(form="round"), 1, ball_size(400)),
        (Shaping(form="braid", piece_length_mm=320), 1, log_size(400, 320)),
        (Shaping(form="flat", piece_length_mm=200, piece_width_mm=100), 1, slab_size(400, 20000, 0.5)),
        (Shaping(form="cut", sheet=Sheet(length_mm=600, width_mm=400, pieces=12)), 1, slab_size(400, 20000, 0.5)),
        (
            Shaping(form="sheet", sheet=Sheet(length_mm=600, width_mm=400, slice_width_mm=50)),
            1,
            slice_size(400, 50),
        ),
        (Shaping(form="flat"), 4, slab_size(400, 580 * 380 / 4, 0.5)),
    ],
)
def test_shaping_decides(shaping: Shaping, pieces_per_pan: int, expected: Size) -> None:
    """Behaviour: each form has its own geometry; a flat piece without sizes takes its part of the tray."""
    assert piece_size(_formula(shaping, pieces_per_pan), 400) == expected


@given(st.floats(20, 5000), st.floats(1.01, 5))
def test_more_dough_is_thicker(mass_g: float, factor: float) -> None:
    """Limit: whatever the form, more dough in the same place is never thinner."""
    for size in (ball_size, log_size, bulk_size, lambda m: slab_size(m, 1e4), lambda m: slice_size(m, 40.0)):
        assert size(mass_g * factor).radius_mm > size(mass_g).radius_mm


@pytest.mark.parametrize("mass_g", [0, -5, float("nan")])
def test_no_dough(mass_g: float) -> None:
    """Bad input: a dough without mass."""
    with pytest.raises(OutOfRange):
        ball_size(mass_g)
