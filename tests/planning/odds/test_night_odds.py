"""Chances against closed forms, and what is told about where it hurts."""

from __future__ import annotations

import datetime as dt
import math

import pytest
from scipy.stats import norm

from planning.odds.little_plans import link, person, plan, random_plan, task
from smallhours.errors import BadInput
from smallhours.planning.odds.document import NightOdds
from smallhours.planning.odds.night_odds import night_odds
from smallhours.planning.odds.spread import NO_SPREAD, Z80, Spread
from smallhours.planning.plan import Plan

NIGHTS = 20_000
MINUTE = dt.timedelta(minutes=1)
ERROR = 4 * 0.5 / math.sqrt(NIGHTS)  # four standard errors of a share
STEADY_HANDS = Spread(hands_slow=0.0, hands_log_sd=0.0)
HIGH = 75.0  # of a proof of 60 minutes, 48 to 75 with 80 %
ABOVE = math.log(HIGH / 60) / Z80


def proofs(slack: dict[str, float]) -> Plan:
    """Doughs that only proof, each due so many minutes after it is planned to be ready; none may be taken early."""
    tasks = [task(name, "proof", 0, 60, need=(60, 60, 90), interval=(48, HIGH)) for name in slack]
    return plan(tasks, {name: 60 + more for name, more in slack.items()})


def odds(made: Plan, spread: Spread = STEADY_HANDS, nights: int = NIGHTS) -> NightOdds:
    """Without a minute of grace."""
    return night_odds(made, nights=nights, seed=5, spread=spread, grace_s=0.0)


@pytest.mark.parametrize("slack", [0.0, 5.0, 10.0, 30.0])
def test_one_dough_against_the_normal_distribution(slack: float) -> None:
    """Limit: one log-normal proof and a slack: the chance is the distribution function at the logarithm of their ratio;
    its 90 % quantile is the upper end of the forecast's interval."""
    told = odds(proofs({"a": slack}))
    assert told.all_on_time == pytest.approx(norm.cdf(math.log((60 + slack) / 60) / ABOVE), abs=ERROR)
    assert told.orders[0].late_p90_s == pytest.approx(max(0.0, HIGH - 60 - slack) * 60, abs=40)


def test_mean_lateness_against_its_integral() -> None:
    """Limit: with no slack the mean lateness is 60 min times E[(e^X - 1)+], X normal with the upper spread:
    e^(s²/2) N(s) - 1/2."""
    mean_min = 60 * (math.exp(ABOVE**2 / 2) * norm.cdf(ABOVE) - 0.5)
    assert odds(proofs({"a": 0.0})).orders[0].late_s == pytest.approx(mean_min * 60, rel=0.03)


def test_independent_doughs_multiply_and_common_errors_do_not() -> None:
    """Limit: errors all of their own: the chance that both are on time is the product; errors all common to the night:
    it is the smaller of the two, exactly."""
    made = proofs({"a": 5.0, "b": 10.0})
    apart = odds(made, Spread(night_share=0, dough_share=1, hands_slow=0, hands_log_sd=0))
    alone = [norm.cdf(math.log((60 + slack) / 60) / ABOVE) for slack in (5.0, 10.0)]
    assert apart.all_on_time == pytest.approx(alone[0] * alone[1], abs=ERROR)
    together = odds(made, Spread(night_share=1, dough_share=0, hands_slow=0, hands_log_sd=0))
    assert together.all_on_time == min(order.on_time for order in together.orders)


def test_lots_of_one_dough_are_slow_together() -> None:
    """Limit: two stages of one dough, all error the dough's: both need f times their 60 minutes, so 10 minutes of slack
    after 120 are enough up to f = 130/120."""
    rest = task("a", "rest", 0, 60, need=(60, 60, 90), interval=(60 * 60 / HIGH, HIGH))
    proof = task("a", "proof", 60, 120, need=(60, 60, 90), interval=(60 * 60 / HIGH, HIGH))
    made = plan([rest, proof], {"a": 130}, [link(rest, proof)])
    told = odds(made, Spread(night_share=0, dough_share=1, hands_slow=0, hands_log_sd=0))
    assert told.all_on_time == pytest.approx(norm.cdf(math.log(130 / 120) / ABOVE), abs=ERROR)


def test_hands_against_the_normal_distribution() -> None:
    """Limit: 100 minutes by hand with 10 of slack, 5 % slow in the middle, all spread the person's: the chance is the
    distribution function at ln(110/105) over the spread."""
    made = plan([task("a", "shape", 0, 100, hands="ana")], {"a": 110}, people=[person("ana")])
    told = odds(made, Spread(hands_slow=0.05, hands_log_sd=0.1, person_share=1))
    assert told.all_on_time == pytest.approx(norm.cdf(math.log(110 / 105) / 0.1), abs=ERROR)


def test_a_quick_dough_stands_too_long() -> None:
    """Limit: planned 60 of at most 75: it stands beyond its latest when its factor is below 60/75, which with the lower
    spread of 48 to 60 is one night in ten; less by the minute that does not count."""
    made = plan([task("a", "proof", 0, 60, need=(60, 60, 75), interval=(48, HIGH))], {"a": 200})
    told = night_odds(made, nights=NIGHTS, seed=2, spread=STEADY_HANDS)
    assert told.doughs[0].over == pytest.approx(norm.cdf(math.log(59 / 75) / (math.log(60 / 48) / Z80)), abs=ERROR)
    assert told.doughs[0].over < 0.1 + ERROR


def test_without_spread_nothing_is_late_and_nothing_hurts() -> None:
    """Limit: no spread: every order on time in every night, nothing to tell."""
    told = night_odds(random_plan(3, 8), nights=5, spread=NO_SPREAD, grace_s=0.0)
    assert told.all_on_time == told.all_on_time_as_wanted == 1.0
    assert (told.hurts, told.doughs, told.overtime) == ((), (), ())
    assert all(order.late_s == 0 and order.waits_on is None for order in told.orders)


def test_what_a_plan_is_late_already_is_late_in_every_night() -> None:
    """Limit: due 20 minutes before it can be ready: late in every night by 20 minutes, without spread."""
    told = night_odds(proofs({"a": -20.0}), nights=5, spread=NO_SPREAD)
    assert told.all_on_time == 0.0
    assert told.orders[0].late_s == told.orders[0].late_p90_s == 1200.0


@pytest.mark.parametrize("seed", range(4))
def test_later_dues_never_lower_a_chance(seed: int) -> None:
    """Limit: the same plan with every due 0, 5, 10, 20 minutes later, the same nights: no chance goes down."""
    made = random_plan(seed, 8)
    before = [0.0] * (len(made.orders) + 2)
    for more in (0, 5, 10, 20):
        orders = tuple(o.model_copy(update={"due": o.due + more * MINUTE}) for o in made.orders)
        told = night_odds(made.model_copy(update={"orders": orders}), nights=200)
        now = [told.all_on_time, told.all_on_time_as_wanted, *(order.on_time for order in told.orders)]
        assert all(b <= a for b, a in zip(before, now, strict=True))
        before = now


def test_the_same_seed_gives_the_same_odds_and_another_seed_others() -> None:
    """Limit: reproducible; and it is chance."""
    made = random_plan(1, 8)
    assert night_odds(made, seed=3) == night_odds(made, seed=3)
    assert night_odds(made, seed=3) != night_odds(made, seed=4)


def test_where_it_hurts_names_the_slow_dough_and_the_busy_person() -> None:
    """Hand: b's shaping waits for Ana, who shapes a, whose rest was slow. Both go back to a's
    dough, b by way of her."""
    rest = task("a", "rest", 0, 60, need=(60, 60, 99), interval=(50, HIGH))
    first = task("a", "shape", 60, 80, hands="ana")
    second = task("b", "shape", 80, 110, hands="ana")
    made = plan([rest, first, second], {"a": 80, "b": 110}, [link(rest, first)], people=[person("ana")])
    told = odds(made, nights=400)
    assert {order.product: order.waits_on for order in told.orders} == {"a": "a", "b": "a"}
    assert [(h.id, h.kind) for h in told.hurts] == [("a", "dough"), ("ana", "person")]
    assert told.hurts[0].share == pytest.approx(0.5, abs=0.1)
    assert told.weakest is not None


def test_who_stays_longer_is_told() -> None:
    """Hand: Ana works until 110; whenever a is slow her shaping goes beyond."""
    rest = task("a", "rest", 0, 60, need=(60, 60, 99), interval=(50, HIGH))
    shape = task("a", "shape", 60, 110, hands="ana")
    made = plan([rest, shape], {"a": 200}, [link(rest, shape)], people=[person("ana", end=110)])
    told = odds(made, nights=2000)
    assert told.all_on_time == 1.0
    assert told.overtime[0].person == "ana"
    assert told.overtime[0].share == pytest.approx(0.5, abs=0.05)


def test_odds_read_back() -> None:
    """Round trip: the document through JSON."""
    told = night_odds(random_plan(2, 6), nights=50)
    assert NightOdds.model_validate_json(told.model_dump_json()) == told


@pytest.mark.parametrize(("nights", "seed"), [(0, 1), (10**6, 1), (10, -1)])
def test_what_cannot_be_run_is_said(nights: int, seed: int) -> None:
    """Bad input: no nights, too many, a seed below 0."""
    with pytest.raises(BadInput, match="must be"):
        night_odds(proofs({"a": 0.0}), nights=nights, seed=seed)


@pytest.mark.parametrize(
    "how",
    [{"night_share": 0.7, "dough_share": 0.7}, {"scale": -1.0}, {"person_share": 2.0}, {"hands_log_sd": math.nan}],
)
def test_what_is_no_spread_is_said(how: dict[str, float]) -> None:
    """Bad input: shares above 1, alone or together, and what is negative or no number."""
    with pytest.raises(BadInput, match="spread"):
        Spread(**how)
