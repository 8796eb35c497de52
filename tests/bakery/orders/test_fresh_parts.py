"""Parts that do not keep for all that need them, and bowls that are filled up."""

from __future__ import annotations

from typing import Any

import pytest

from planning.shift.small_bakery import CHAIN, formula, kitchen, order
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.orders.batches import BatchPlan, batches
from smallhours.bakery.orders.document import Order
from smallhours.bakery.pantry import Pantry

HOUR_S = 3600.0


def with_poolish(keeps_s: float | None, **more: Any) -> Formula:
    """A loaf, mixed 200 min before it is due, of which 30 of 190.5 are a poolish."""
    lines = [{"part": "poolish", "percent": 30.0}, {"ingredient": "bread-flour", "percent": 100.0},
             {"ingredient": "water", "percent": 60.0}, {"ingredient": "yeast-instant", "percent": 0.5}]  # fmt: skip
    own = [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 100.0}]
    poolish = {"id": "poolish", "name": "Poolish", "kind": "preferment", "lines": own, **more}
    if keeps_s is not None:
        poolish["keeps_s"] = keeps_s
    chain = ({"kind": "mix", "part": "poolish", "place": "bench", "duration_s": 300.0},
             {"kind": "ferment", "part": "poolish", "duration_s": 8 * HOUR_S}, *CHAIN)  # fmt: skip
    return formula("loaf", chain, parts=[{"id": "dough", "name": "Dough", "lines": lines}, poolish])


def made(one: Formula, orders: list[Order], **changes: Any) -> BatchPlan:
    """The batches of some orders; bowls of at most 5 kg."""
    mixers = [{"id": "spiral", "name": "Spiral", "min_dough_g": 1000.0, "max_dough_g": 5000.0}]
    return batches(orders, {one.id: one}, kitchen(**{"mixers": mixers, **changes}), Pantry())


WAVES = [order("04:00", 4), order("06:00", 4), order("11:00", 4)]
"""4 kg each: a bowl each, mixed at 00:40, 02:40 and 07:40."""


@pytest.mark.parametrize(
    ("keeps_s", "feeds"),
    [
        (None, [("loaf.dough.1", "loaf.dough.2", "loaf.dough.3")]),
        (7 * HOUR_S, [("loaf.dough.1", "loaf.dough.2", "loaf.dough.3")]),
        (3 * HOUR_S, [("loaf.dough.1", "loaf.dough.2"), ("loaf.dough.3",)]),
        (HOUR_S, [("loaf.dough.1",), ("loaf.dough.2",), ("loaf.dough.3",)]),
    ],
)
def test_a_part_is_made_as_often_as_it_has_to_be_fresh(keeps_s: float | None, feeds: list[tuple[str, ...]]) -> None:
    """Hand: mixed at 00:40, 02:40 and 07:40: a poolish that keeps 7 h does for all, one of 3 h for the first two.

    What is made in all stays the same.
    """
    found = [batch for batch in made(with_poolish(keeps_s), WAVES).batches if batch.part_id == "poolish"]
    assert [batch.feeds for batch in found] == feeds
    assert [batch.id for batch in found] == [f"loaf.poolish.{n}" for n in range(1, len(feeds) + 1)]
    dough_g = sum(batch.mass_g for batch in made(with_poolish(keeps_s), WAVES).batches if batch.lots)
    assert sum(batch.mass_g for batch in found) == pytest.approx(dough_g * 30 / 190.5, rel=1e-6)


def test_bowls_that_are_mixed_one_after_the_other_need_a_part_one_after_the_other() -> None:
    """Hand: three bowls due together in one mixer, 10 min each: the last is mixed 20 min after the first.

    A poolish that keeps 15 min does for two of them; with a mixer for each all can be mixed at once.
    """
    together = [order("05:00", 12)]
    assert len([b for b in made(with_poolish(900.0), together).batches if b.part_id == "poolish"]) == 2
    three = [{"id": f"m{n}", "name": f"M{n}", "min_dough_g": 1000.0, "max_dough_g": 5000.0} for n in range(3)]
    found = made(with_poolish(900.0), together, mixers=three).batches
    assert len([b for b in found if b.part_id == "poolish"]) == 1


def test_a_part_inside_a_part_is_as_old_as_its_last_use() -> None:
    """Hand: a soaker goes into the poolish of each wave, 8 h and 5 min before its dough: again 2 h and 5 h apart."""
    one = with_poolish(HOUR_S)
    inner = {"id": "soaker", "name": "Soaker", "kind": "soaker", "keeps_s": 3 * HOUR_S, "lines": [
        {"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 100.0}]}  # fmt: skip
    data = one.to_json_data()
    data["parts"][1]["lines"].append({"part": "soaker", "percent": 20.0})
    data["parts"].append(inner)
    data["stages"].insert(0, {"kind": "mix", "part": "soaker", "place": "bench", "duration_s": 120.0})
    found = made(Formula.read(data, "loaf"), WAVES).batches
    assert [b.feeds for b in found if b.part_id == "soaker"] == [
        ("loaf.poolish.1", "loaf.poolish.2"),
        ("loaf.poolish.3",),
    ]


def test_a_bowl_is_filled_up_where_the_formula_wants_it() -> None:
    """Hand: 2 loaves of 1000 g, 1 % lost in mixing and 1 % in dividing, are 2040.6 g; the bowl takes 3000 g or more.

    959.4 g are left over, and the poolish is made for all 3000 g. Where the formula does not want it, nothing is.
    """
    mixers = [{"id": "spiral", "name": "Spiral", "min_dough_g": 3000.0, "max_dough_g": 9000.0}]
    wanted = with_poolish(None)
    filled = wanted.model_copy(
        update={"parts": (wanted.parts[0].model_copy(update={"fill_bowl": True}), wanted.parts[1])}
    )
    plan = made(filled, [order("05:00", 2)], mixers=mixers)
    dough, poolish = plan.batches
    assert dough.mass_g == pytest.approx(3000.0)
    assert dough.over_g == pytest.approx(3000.0 - 2000.0 / 0.99 / 0.99, abs=0.1)
    assert poolish.mass_g == pytest.approx(3000.0 * 30 / 190.5, rel=1e-6)
    (finding,) = [each for each in plan.problems if each.rule == "dough_left_over"]
    assert "959 g are left over" in finding.sentence
    plain = made(wanted, [order("05:00", 2)], mixers=mixers)
    assert plain.batches[0].over_g == 0
    assert [each.rule for each in plain.problems] == ["batch_under_bowl_minimum"]
    enough = made(filled, [order("05:00", 4)], mixers=mixers)
    assert (enough.batches[0].over_g, enough.problems) == (0, ())
