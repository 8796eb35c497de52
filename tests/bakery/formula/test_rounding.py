from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smallhours.bakery.formula.rounding import finer_scale, round_at_steps, round_to_step, step_for, tolerance_for
from smallhours.errors import OutOfRange


def test_largest_remainder():
    """Hand: 333.4 + 333.3 + 333.3 = 1000 on a 1 g scale: the .4 gets the missing gram, not each its own rounding."""
    rounded = round_to_step({"a": 333.4, "b": 333.3, "c": 333.3}, 1.0)
    assert rounded.masses == {"a": 334.0, "b": 333.0, "c": 333.0}
    assert rounded.errors["a"] == pytest.approx(0.6 / 333.4)


def test_equal_remainders_go_to_the_heaviest():
    """Hand: 1000.5 of flour and 20.5 of salt make 1021: the flour takes the half gram, which the salt would feel."""
    assert round_to_step({"salt": 20.5, "flour": 1000.5}, 1.0).masses == {"salt": 20.0, "flour": 1001.0}


@given(
    masses=st.dictionaries(st.text("abcdef", min_size=1, max_size=3), st.floats(0, 1e6), min_size=1, max_size=12),
    step=st.sampled_from([0.1, 0.5, 1.0, 2.0, 5.0, 10.0]),
)
def test_the_sum_is_kept_and_nothing_moves_by_a_step(masses, step):
    """Property: multiples of the step, whose sum is the exact sum rounded once; each within one step of its own."""
    rounded = round_to_step(masses, step)
    assert rounded.total_g == pytest.approx(sum(masses.values()), abs=step / 2 * (1 + 1e-6) + 1e-6)
    for name, mass in masses.items():
        assert abs(rounded.masses[name] - mass) < step * (1 + 1e-6)
        assert rounded.masses[name] / step == pytest.approx(round(rounded.masses[name] / step), abs=1e-6)


def test_each_scale_keeps_its_own_sum():
    """Hand: flour and water on 5 g (1612 -> 1610), salt and yeast on 1 g (30.4 -> 30)."""
    rounded = round_at_steps(
        {"flour": 1001.0, "salt": 20.2, "water": 611.0, "yeast": 10.2},
        {"flour": 5.0, "salt": 1.0, "water": 5.0, "yeast": 1.0},
    )
    assert rounded.masses == {"flour": 1000.0, "salt": 20.0, "water": 610.0, "yeast": 10.0}
    assert list(rounded.masses) == ["flour", "salt", "water", "yeast"]


def test_the_coarsest_step_that_is_fine_enough():
    """Hand: 2.5 g on a 5 g scale is 0.5 % of 500 g; 0.5 g on a 1 g scale is 2 % of 25 g; else the finest."""
    assert step_for(500, (0.1, 1, 5)) == 5
    assert step_for(499, (0.1, 1, 5)) == 1
    assert step_for(125, (0.1, 1, 5), 0.02) == 5
    assert step_for(25, (0.1, 1, 5), 0.02) == 1
    assert step_for(24, (0.1, 1, 5), 0.02) == 0.1
    assert step_for(1.0, (1, 5)) == 1


def test_least_load_of_a_scale():
    """Published: OIML R 76-1, table 3: minimum load of class III is 20 steps, so 100 g on a 5 g scale; 30 g of yeast
    never."""
    assert step_for(30, (1, 5), 0.5) == 1
    assert "under 20 steps of a 5 g scale" in (finer_scale("yeast", 30, 5, 0.5) or "")
    assert "steps of 1 g or finer" in (finer_scale("yeast", 30, 5, 0.5) or "")
    assert finer_scale("yeast", 100, 5, 0.5) is None


def test_what_to_do_when_it_cannot_be_weighed():
    """Hand: 40 g on 1 g can be 1.25 % off: fine for salt (2 %), not for flour (0.5 %), which needs 0.4 g: so 0.2 g."""
    assert finer_scale("salt", 40, 1, tolerance_for("salt")) is None
    assert finer_scale("flour", 40, 1, tolerance_for("flour")) == (
        "40 g of flour can be off by 1.2 % on a 1 g scale (at most 0.5 %): weigh it at 0.2 g or finer, or in a premix"
    )
    assert finer_scale("flour", 0, 1) is None


@pytest.mark.parametrize("mass_g", [0.0199, 1e-9, 5e-324])
def test_what_no_kitchen_scale_can_weigh(mass_g):
    """Limit: a step of 0.001 g is the finest: 20 of them are 0.02 g; any less is only weighed in a premix."""
    assert "steps of 0.001 g or finer" in (finer_scale("saffron", 0.0201, 1) or "")
    said = finer_scale("saffron", mass_g, 1) or ""
    assert said.endswith("under 20 steps of a 1 g scale: weigh a premix in which there is more of it")
    assert "weigh it in a premix" in (finer_scale("saffron", 0.03, 0.001, 0.005) or "")


@pytest.mark.parametrize("masses", [{"a": -1.0}, {"a": float("nan")}, {"a": float("inf")}])
def test_impossible_masses(masses):
    """Bad input: refused with the name."""
    with pytest.raises(OutOfRange, match="the mass of a must be 0 g or more"):
        round_to_step(masses, 1.0)


@pytest.mark.parametrize("step", [0.0, -1.0, float("nan")])
def test_impossible_steps(step):
    """Bad input: a scale has a step above 0 g."""
    with pytest.raises(OutOfRange, match="above 0 g"):
        round_to_step({"a": 1.0}, step)
    with pytest.raises(OutOfRange, match="at least one scale step"):
        step_for(1.0, ())
