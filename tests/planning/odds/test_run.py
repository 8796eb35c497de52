"""Nights run at once, against one night gone through by hand or in plain Python."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from planning.odds.little_plans import CAPACITY, NOON, at, link, person, plan, random_plan, task, thing
from planning.odds.one_night import OneNight
from smallhours.planning.odds.network import network
from smallhours.planning.odds.run import Run, run
from smallhours.planning.odds.spread import NO_SPREAD, Draws, Spread
from smallhours.planning.plan import OvenStretch, Plan, PlanTask


class Said(Draws):
    """A single night in which it is said what everything needs."""

    def __init__(self, needed: dict[str, float], slow: dict[str, float]) -> None:
        super().__init__(1, 1, NO_SPREAD)
        self.said, self.said_slow = needed, slow

    def needed(self, task: PlanTask) -> NDArray[np.float64] | None:
        return np.array([self.said[task.id]]) if task.id in self.said else None

    def slow(self, person: str, task_id: str) -> NDArray[np.float64] | None:
        return np.array([self.said_slow.get(task_id, 1.0)])


def ready(done: Run, name: str) -> float:
    """When a task is ready in the first night, in minutes."""
    index = next(n for n, job in enumerate(done.net.jobs) if job.task is not None and job.task.id == name)
    return float(done.at["ready", index][0] / 60.0)


def one(made: Plan, needed: dict[str, float] | None = None, slow: dict[str, float] | None = None, **how: bool) -> Run:
    """That night."""
    return run(network(made), Said(needed or {}, slow or {}), **how)


def test_a_slow_dough_is_taken_at_its_least() -> None:
    """Hand: 60 planned of (45, 60, 90). At 1.2 times it may be taken after 54: no delay; it is as far along as meant
    after 72. At 1.5 times after 67.5, or 90."""
    made = plan([task("a", "proof", 0, 60, need=(45, 60, 90), interval=(50, 70))], {"a": 60})
    assert ready(one(made, {"a:proof": 1.2}), "a:proof") == 60.0
    assert ready(one(made, {"a:proof": 1.2}, wanted=True), "a:proof") == pytest.approx(72.0)
    assert ready(one(made, {"a:proof": 1.5}), "a:proof") == pytest.approx(67.5)


def test_slack_in_the_next_stage_catches_up() -> None:
    """Hand: the rest is 30 late; the proof, 60 planned of at least 45, gives 15 of it back."""
    rest, proof = (
        task("a", "rest", 0, 60, need=(60, 60, 90), interval=(50, 70)),
        task("a", "proof", 60, 120, need=(45, 60, 90)),
    )
    done = one(plan([rest, proof], {"a": 120}, [link(rest, proof)]), {"a:rest": 1.5})
    assert ready(done, "a:rest") == pytest.approx(90.0)
    assert ready(done, "a:proof") == pytest.approx(135.0)


def test_a_late_dough_is_not_waited_for_where_there_is_time() -> None:
    """Hand: Ana shapes a at 60, then b at 70 (20 minutes each by hand). a comes 30 late, at 90. b, ready at 70, is done
    by 90 and goes first; if it takes 25, it has to wait until a is done, 110."""

    def made(long: float) -> Plan:
        rest = task("a", "rest", 0, 60, need=(60, 60, 99), interval=(50, 70))
        first = task("a", "shape", 60, 70, need=(10, 10, 10), hands="ana")
        second = task("b", "shape", 70, 70 + long, hands="ana")
        return plan([rest, first, second], {"a": 70, "b": 70 + long}, [link(rest, first)], people=[person("ana")])

    late = {"a:rest": 1.5}
    assert ready(one(made(20), late), "b:shape") == pytest.approx(90.0)
    assert ready(one(made(20), late), "a:shape") == pytest.approx(100.0)
    assert ready(one(made(25), late), "b:shape") == pytest.approx(125.0)


def test_a_deck_changes_its_temperature_after_its_last_bake() -> None:
    """Hand: at 230 °C until 30, 15 minutes to 190 °C, next bake planned at 50. The first is out at 42: the second goes
    in at 57, 7 late."""
    first = task("a", "proof", 0, 10, need=(10, 10, 20), interval=(8, 12))
    hot = task("a", "bake", 10, 30, uses={"deck": 1}, set_temp_c=230)
    mild = task("b", "bake", 50, 80, uses={"deck": 1}, set_temp_c=190)
    ovens = [
        OvenStretch(deck="deck", set_temp_c=230, heat_from=NOON, start=at(10), end=at(30)),
        OvenStretch(deck="deck", set_temp_c=190, heat_from=at(30), start=at(45), end=at(80)),
    ]
    deck = thing("deck", 2, "deck", t230_190=15 * 60.0)
    made = plan([first, hot, mild], {"a": 30, "b": 80}, [link(first, hot)], [deck], ovens)
    assert ready(one(made, {"a:proof": 2.2}), "b:bake") == pytest.approx(87.0)
    assert ready(one(made), "b:bake") == 80.0


def test_a_dough_keeps_its_place_until_the_next_stage_has_room() -> None:
    """Hand: a proofs in a proofer for one until the deck, taken by b until 70 instead of 60, is free; c, planned for
    the proofer at 65, comes in at 70."""
    slow = task("b", "rest", 0, 30, need=(30, 30, 60), interval=(25, 35))
    bakes = task("b", "bake", 30, 60, uses={"deck": 1})
    proofs = task("a", "proof", 0, 60, need=(40, 60, 99), interval=(50, 70), uses={"proofer": 1})
    then = task("a", "bake", 60, 90, uses={"deck": 1})
    last = task("c", "proof", 65, 95, need=(30, 30, 60), interval=(25, 35), uses={"proofer": 1})
    made = plan(
        [slow, bakes, proofs, then, last], {"a": 90, "b": 60, "c": 95}, [link(slow, bakes), link(proofs, then)],
        [thing("deck"), thing("proofer")],
    )  # fmt: skip
    done = one(made, {"b:rest": 4 / 3})
    assert ready(done, "a:bake") == pytest.approx(100.0)
    assert ready(done, "c:proof") == pytest.approx(100.0)


def test_two_doughs_that_swap_their_places_do_not_wait_for_ever() -> None:
    """Limit: a goes from the fridge to the proofer and b the other way at the same minute; each has one place."""
    tasks = [
        task("a", "chill", 0, 60, uses={"fridge": 1}), task("a", "proof", 60, 120, uses={"proofer": 1}),
        task("b", "proof", 0, 60, uses={"proofer": 1}), task("b", "chill", 60, 120, uses={"fridge": 1}),
    ]  # fmt: skip
    links = [link(tasks[0], tasks[1]), link(tasks[2], tasks[3])]
    done = one(plan(tasks, {"a": 120, "b": 120}, links, [thing("fridge"), thing("proofer")]))
    assert ready(done, "a:proof") == ready(done, "b:chill") == 120.0


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("wanted", [False, True])
def test_without_spread_a_night_is_its_plan(seed: int, wanted: bool) -> None:
    """Limit: every stage needs what is wanted, no hands are slow: every instant is the planned one, to the second."""
    made = random_plan(seed, batches=8)
    done = run(network(made), Draws(3, 1, NO_SPREAD), wanted=wanted)
    for index, each in enumerate(made.tasks):
        assert (done.at["start", index] == (each.start - NOON).total_seconds()).all()
        assert (done.at["gone", index] == (each.end - NOON).total_seconds()).all()


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("wanted", [False, True])
def test_arrays_do_what_plain_python_does(seed: int, wanted: bool) -> None:
    """Limit: random plans in 20 random nights, against one night after the other by the written policy."""
    made = random_plan(seed, batches=4 + seed)
    draws = Draws(20, seed, Spread(scale=2.0, hands_log_sd=0.3))
    done = run(network(made), draws, wanted=wanted)
    needed = {t.id: draws.needed(t) for t in made.tasks}
    slow = {t.id: draws.slow(t.hands[0].person, t.id) for t in made.tasks if t.hands}
    moved = 0
    for night in range(draws.nights):
        plain = OneNight(
            made,
            {key: float(f[night]) for key, f in needed.items() if f is not None},
            {key: float(f[night]) for key, f in slow.items() if f is not None},
            wanted,
        )
        for index, each in enumerate(made.tasks):
            assert done.at["start", index][night] == pytest.approx(plain.start(each.id), abs=1e-3), each.id
            assert done.at["ready", index][night] == pytest.approx(plain.ready(each.id), abs=1e-3), each.id
            assert done.at["gone", index][night] == pytest.approx(plain.gone(each.id), abs=1e-3), each.id
            moved += plain.start(each.id) > (each.start - NOON).total_seconds() + 60
    assert moved > 20  # the nights are no copies of the plan


@pytest.mark.parametrize("seed", range(8))
def test_no_place_is_taken_twice_in_any_night(seed: int) -> None:
    """Limit: mixer, bench, proofer and deck, at every instant of every night: never more than there is."""
    made = random_plan(seed, batches=10)
    done = run(network(made), Draws(30, seed, Spread(scale=2.0)))
    uses = [(i, use) for i, each in enumerate(made.tasks) for use in each.uses]
    for name in {use.resource for _, use in uses}:
        mine = [(done.at["start", i], done.at["gone", i], use.amount) for i, use in uses if use.resource == name]
        for begun, _, _ in mine:
            taken = np.sum([((a <= begun) & (b > begun)) * amount for a, b, amount in mine], axis=0)
            assert taken.max() <= CAPACITY[name], name
