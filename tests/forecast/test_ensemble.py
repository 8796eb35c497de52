"""Draws are the same for the same seed, medians are the middle, quantiles are weighted."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smallhours.errors import BadInput, OutOfRange
from smallhours.forecast.ensemble import Ensemble, draw, estimates, least_known, priors, quantiles, share_of


def test_the_same_seed_gives_the_same_draws() -> None:
    """Behaviour: drawn anew, not taken from what was kept; another seed gives others."""
    first = draw(100, 7)
    draw.cache_clear()
    again, other = draw(100, 7), draw(100, 8)
    assert again is not first
    assert np.array_equal(first.scores, again.scores)
    assert not np.array_equal(first.scores, other.scores)


@pytest.mark.parametrize("members", [20, 101, 500])
@pytest.mark.parametrize("prior", priors(), ids=lambda prior: prior.name)
def test_the_median_of_a_prior_is_its_middle(members: int, prior: object) -> None:
    """Limit: whatever the number of members, the middle of the draws is the prior's middle exactly."""
    values = draw(members).values(prior.name)  # type: ignore[attr-defined]
    middle = quantiles(values, np.ones(members), (0.5,))[0]
    assert middle == pytest.approx(min(max(prior.middle, prior.least), prior.most), rel=1e-6)  # type: ignore[attr-defined]
    assert values[0] == pytest.approx(prior.middle)  # type: ignore[attr-defined]


def test_draws_have_the_spread_of_their_prior() -> None:
    """Hand: a log-normal factor of spread 0.20 lies between exp(-0.2563) = 0.774 and 1.292 four times out of five."""
    found = estimates({"vigour": draw(1000).values("vigour")}, np.ones(1000))["vigour"]
    assert (found.low, found.high) == pytest.approx((0.7739, 1.2921), rel=2e-3)


def test_draws_of_two_priors_do_not_go_together() -> None:
    """Limit: independent draws are uncorrelated; among 500 the chance correlation stays under 0.2."""
    together = np.corrcoef(draw().scores)
    assert np.abs(together - np.eye(len(priors()))).max() < 0.2


@given(st.lists(st.floats(-50, 50), min_size=5, max_size=40))
def test_equal_weights_are_plain_quantiles(values: list[float]) -> None:
    """Published: numpy's quantiles by Hazen's method (Hyndman & Fan 1996, type 5)."""
    row = np.array(values)
    expected = np.quantile(row, (0.1, 0.5, 0.9), method="hazen")
    assert quantiles(row, np.ones(row.size)) == pytest.approx(expected, abs=1e-9)
    uneven = quantiles(np.append(row, 99.0), np.append(np.ones(row.size), 0.0))
    assert uneven == pytest.approx(expected, abs=1e-9)


def test_weights_move_the_median() -> None:
    """Hand: 1, 2, 3 with weights 1, 1, 2: their middles stand at 1/8, 3/8, 6/8 of the weight; half is 2 + 1/3."""
    assert quantiles(np.array([3.0, 1.0, 2.0]), np.array([2.0, 1.0, 1.0]), (0.5,))[0] == pytest.approx(2 + 1 / 3)


def test_shares_go_by_weight() -> None:
    """Hand: the second of two members with weights 1 and 3 is three quarters."""
    assert share_of(np.array([False, True]), np.array([1.0, 3.0])) == 0.75


def test_the_least_known_is_what_a_result_follows() -> None:
    """Limit: a result made of one prior alone follows that prior; a constant follows none."""
    drawn = draw()
    for name in ("chill", "cold_slope"):
        found = least_known(np.exp(drawn.values(name)), drawn)
        assert found is not None
        assert found.name == name
    assert least_known(np.ones(500), drawn) is None


def test_reweighing_keeps_the_draws() -> None:
    """Behaviour: only the weights change; weights that cannot be are refused."""
    drawn = draw(50)
    heavy = drawn.reweighed(np.arange(50.0))
    assert np.array_equal(heavy.scores, drawn.scores)
    for wrong in (np.ones(49), np.full(50, np.nan), -np.ones(50), np.zeros(50)):
        with pytest.raises(BadInput):
            drawn.reweighed(wrong)


@pytest.mark.parametrize(("members", "seed"), [(19, 1), (20_001, 1), (100, -1)])
def test_draws_that_cannot_be(members: int, seed: int) -> None:
    """Bad input: too few, too many, a seed below zero."""
    with pytest.raises(OutOfRange, match="must be"):
        draw(members, seed)


def test_every_prior_says_where_it_comes_from() -> None:
    """Behaviour: words and source of every draw, no name twice."""
    assert len({prior.name for prior in priors()}) == len(priors())
    assert all(prior.words and prior.source and prior.least < prior.most for prior in priors())
    assert isinstance(draw(), Ensemble)
