"""What no plan can be under: worked by hand, and against the least that was proven on small questions."""

from __future__ import annotations

import random

import pytest

from planning.engine.cases import task
from smallhours.planning.engine.bounds import least_held, least_levels, least_terms, least_work
from smallhours.planning.engine.lags import windows
from smallhours.planning.engine.problem import Demand, Due, Lag, Mode, Objective, Part, Problem, Resource, Task
from smallhours.planning.engine.solve import solve

DECK_STATES = ("180", "200", "230")


def _deck(name: str, capacity: int) -> Resource:
    change = {(s, t): 5 for s in DECK_STATES for t in DECK_STATES if s != t}
    return Resource(name, capacity, states=DECK_STATES, change=change)


def _bake(name: str, ticks: int, amount: int, states: set[str], decks: tuple[str, ...] = ("deck",)) -> Task:
    modes = (Mode(deck, ticks, ticks, demands=(Demand(deck, amount, states=frozenset(states)),)) for deck in decks)
    return Task(name, tuple(modes))


def test_work_is_the_least_over_modes() -> None:
    """Hand: by hand 12 ticks throughout; or by machine 20 ticks, hands in the first 3 and the last 4: 7. The second
    task only has the first way: 12 + 7 = 19 (7 for the one that may choose, 12 for the other)."""
    hand = Mode("hand", 12, 15, demands=(Demand("crew"),))
    ends = (Demand("crew", 1, Part("first", 3)), Demand("crew", 1, Part("last", 4)))
    problem = Problem(100, (Task("a", (hand, Mode("machine", 20, 20, demands=ends))), Task("b", (hand,))))
    assert least_work(problem, "crew") == 7 + 12


def test_loads_share_a_tick_as_far_as_they_fit() -> None:
    """Hand: one deck of 3. Loads of 3, 1 and 1 for 30 ticks each at one temperature: (3 + 1 + 1) / 3 * 30 = 50, so
    at least 50; two fit at once, so 60 is the truth. Loads of 2, 2 and 2: no two fit at once: 90, not 60."""
    thirds = Problem(
        500, tuple(_bake(str(n), 30, amount, {"200"}) for n, amount in enumerate((3, 1, 1))), (_deck("deck", 3),)
    )
    assert least_held(thirds, ["deck"]) == 50
    twos = Problem(500, tuple(_bake(str(n), 30, 2, {"200"}) for n in range(3)), (_deck("deck", 3),))
    assert least_held(twos, ["deck"]) == 90


def test_temperatures_that_cannot_be_shared_add_up() -> None:
    """Hand: 40 ticks only at 180 and 25 only at 230, one place of three each: 65 together. One that takes 180 or 230
    ties them: then all that is sure is the longest, 40."""
    low, high = _bake("low", 40, 1, {"180"}), _bake("high", 25, 1, {"230"})
    either = _bake("either", 10, 1, {"180", "230"})
    assert least_held(Problem(500, (low, high), (_deck("deck", 3),)), ["deck"]) == 65
    assert least_held(Problem(500, (low, high, either), (_deck("deck", 3),)), ["deck"]) == 40


def test_the_larger_of_two_decks_counts() -> None:
    """Hand: four loads of 2 for 30 ticks, on a deck of 2 or one of 4. In the large one two share a tick: 4 * 30 / 2 =
    60; more cannot be said, because all may go there."""
    decks = (_deck("small", 2), _deck("large", 4))
    problem = Problem(500, tuple(_bake(str(n), 30, 2, {"200"}, ("small", "large")) for n in range(4)), decks)
    assert least_held(problem, ["small", "large"]) == 60


@pytest.mark.parametrize("seed", range(12))
def test_no_bound_is_above_a_proven_least(seed: int) -> None:
    """Limit: on small random questions solved to the proven least of every level, each bound is at or under it."""
    draw = random.Random(seed)
    tasks, lags, dues = [], [], []
    for n in range(3):
        hands, ticks = draw.randint(2, 5), draw.randint(6, 12)
        tasks.append(task(f"shape{n}", hands, Demand("crew")))
        states = set(draw.sample(DECK_STATES, draw.randint(1, 2)))
        decks = ("deck", "other") if draw.random() < 0.5 else ("deck",)
        tasks.append(_bake(f"bake{n}", ticks, draw.randint(1, 3), states, decks))
        lags.append(Lag(f"shape{n}", f"bake{n}", 0, draw.randint(0, 10)))
        dues.append(Due(f"bake{n}", draw.randint(20, 40), 1, 1))
    crew = Resource("crew", 2, ((0, 5, 1), (60, 80, 0)))
    levels = (("late",), ("hours:crew", "begins:crew"), ("held:deck", "held:other"))
    problem = Problem(
        80, tuple(tasks), (crew, _deck("deck", 3), _deck("other", 4)), tuple(lags), tuple(dues), Objective(levels)
    )
    solution = solve(problem, time_limit_s=20)
    assert solution.status == "optimal"
    reach = windows(problem)
    assert reach is not None
    least = least_terms(problem, reach)
    for level, floor in zip(solution.levels, least_levels(problem, least), strict=True):
        assert floor <= level.value
        assert all(least[name] <= value for name, value in level.terms.items())
        assert level.bound >= floor
