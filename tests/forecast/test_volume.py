"""How large a dough is with so much gas in it: its own rise where it is meant, smaller in the cold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from forecast.demo_bakery import asked, formulas, pantry
from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.forecast.volume import Volume, gas_room

ROOM = gas_room(unit_amounts(formulas()["milk-loaf"], pantry()), pantry(), "dough")
R = 8.314462618


def _volume() -> Volume:
    return Volume(ROOM, np.full(1, 25.0))


def _by_trial(gas_mmol: float, temp_c: float, water: float) -> float:
    """The rise of a gram of dough (0.80 ml solid, 8 % air at 25 °C), found by halving the pressure of its gas."""
    kelvin, vapour = temp_c + 273.15, {4.0: 813.0, 25.0: 3169.0}
    dry, at_first = 101_325.0 - vapour[temp_c], 101_325.0 - vapour[25.0]
    air = at_first * (0.80 / 0.92 * 0.08) * 1e-6 / (R * 298.15) * 1e3  # mmol
    solubility = 3.3e-4 * np.exp(2400.0 * (1.0 / kelvin - 1.0 / 298.15))  # mmol/(ml Pa) x 1e3 = mol/(m3 Pa)
    low, high = 0.0, dry
    for _ in range(80):
        pressure = (low + high) / 2
        volume_ml = air * 1e-3 * R * kelvin / (dry - pressure) * 1e6 if pressure < dry else np.inf
        held = pressure * volume_ml * 1e-6 / (R * kelvin) * 1e3 + solubility * pressure * water * 1e-3
        low, high = (pressure, high) if held < gas_mmol else (low, pressure)
    return float((0.80 + volume_ml) / (0.80 / 0.92))


def test_a_dough_is_smaller_in_the_cold() -> None:
    """Hand: Henry's, Dalton's and the ideal gas law solved by halving: a dough of twice its volume at 25 °C is 1.63
    times at 4 °C with the same gas (vapour 3169 and 813 Pa, handbook): 18 % smaller.
    """
    volume, water = _volume(), float(np.asarray(ROOM.water_fraction))
    gas = volume.gas_for(2.0, np.full(1, 25.0))
    assert _by_trial(float(gas[0]), 25.0, water) == pytest.approx(2.0, abs=2e-3)
    cold = float(volume.rises(gas, np.full(1, 4.0))[0])
    assert cold == pytest.approx(_by_trial(float(gas[0]), 4.0, water), abs=2e-3)
    assert cold == pytest.approx(1.63, abs=0.01)


@given(st.floats(1.05, 4.0), st.floats(0.0, 40.0))
def test_gas_for_a_rise_makes_that_rise(rise: float, temp_c: float) -> None:
    """Round trip: rise -> gas -> the same rise at every temperature; more gas or warmth never makes it smaller."""
    volume, temps = _volume(), np.full(1, temp_c)
    gas = volume.gas_for(rise, temps)
    found = float(volume.rises(gas, temps)[0])
    least = float(volume.rises(np.zeros(1), temps)[0])
    assert found == pytest.approx(max(rise, least), rel=1e-6)
    assert float(volume.rises(gas * 1.1, temps)[0]) >= found
    assert float(volume.rises(gas, temps + 3.0)[0]) > found


def test_the_first_gas_dissolves() -> None:
    """Limit: a tenth of the gas that doubles a dough raises it by 3 %, not 10 %: water takes it up first."""
    volume, temps = _volume(), np.full(1, 25.0)
    gas = volume.gas_for(2.0, temps)
    early, half = (float(volume.rises(gas * share, temps)[0]) - 1.0 for share in (0.1, 0.5))
    assert 0.02 < early < 0.05
    assert 0.3 < half < 0.45


def test_every_stage_reaches_its_own_rise_where_it_is_meant() -> None:
    """Limit: under a formula's own conditions each stage that names a rise ends with it, in each way it knows."""
    for slug in ("quay-loaf", "mooring-loaf", "milk-loaf", "brioche", "harbour-bun"):
        made = asked(slug, as_written=True).forecast()
        for stage in formulas()[slug].stages:
            if stage.rise is not None and stage.kind in ("ferment", "proof"):
                found = next(s for s in made.stages if s.key == stage.key and s.part == (stage.part or "dough"))
                assert found.rise.median == pytest.approx(stage.rise, rel=1e-6), (slug, stage.key)


def test_a_dough_comes_small_out_of_the_fridge_and_grows_as_it_warms() -> None:
    """Behaviour: along a night its rise goes up by gas made; the dough that is ripe in the cold is smaller than in the
    room, and the last stretch in the room raises it more than its gas alone.
    """
    night = asked("milk-loaf", ways={"proof": "fridge"}, as_written=True).forecast()
    proof = night.stage("proof")
    straight = asked("milk-loaf", as_written=True).forecast().stage("proof")
    assert proof.ripeness is not None
    assert proof.rise.median == pytest.approx(straight.rise.median, rel=1e-6)
    points = [p for p in night.curve if proof.start_s < p.t_s < proof.end_s]
    coldest = min(points, key=lambda p: p.temp_c.median)
    assert coldest.rise.median < proof.rise.median
