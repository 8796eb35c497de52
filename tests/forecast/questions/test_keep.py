"""What keeps: growth as the published curves have it along a path, and when a baker is told without asking."""

from __future__ import annotations

import pytest

from forecast.demo_bakery import asked
from smallhours.errors import BadInput
from smallhours.forecast.microbes import NOT_COVERED, kept_on, kept_parts, organisms
from smallhours.forecast.questions import may_it_be_kept
from smallhours.forecast.warmest_path import measured_path

HOUR = 3600.0
FOUR_HOURS = [(0.0, 26.0), (2 * HOUR, 26.0), (4 * HOUR, 26.0)]


def test_four_hours_at_26_degrees() -> None:
    """Hand: root of the rate of S. aureus in milk 0.0442 x (26 - 5.407) = 0.9102, squared 0.8285 natural an hour, in
    4 h 1.439 powers of ten; times 1.5 2.16. In lean dough (0.01281 x 18.3)^2 x 4 = 0.2198, over 3 0.07."""
    answer = may_it_be_kept(asked("brioche"), "dough", FOUR_HOURS)
    found = answer.number("dough: staphylococcus-aureus")
    assert (found.low, found.high) == pytest.approx((0.0733, 2.159), abs=0.005)
    assert found.median == pytest.approx((1.439 + 0.2198) / 2, abs=0.005)
    assert answer.number("dough: warmer than 5 °C").median == pytest.approx(4 * HOUR)


def test_spells_add_up_to_the_whole() -> None:
    """Hand: growth is a sum over time, so that the middles of all stages add up to the middle of the whole."""
    kept = kept_parts(asked("harbour-bun"), asked("harbour-bun").forecast())
    growth = next(one for one in kept if one.path.part == "dough").growths[0]
    assert sum(value.median for _, value in growth.by_spell) == pytest.approx(growth.total.median, rel=1e-6)
    assert growth.most_in == "ferment"


def test_every_organism_of_the_table_is_told_and_what_is_not_covered_is_named() -> None:
    """Behaviour: four organisms have curves; the others are named as not covered, and nothing is cleared."""
    answer = may_it_be_kept(asked("brioche"))
    assert len(organisms()) == 4
    for organism in organisms():
        assert answer.number(f"dough: {organism}").high >= 0.0
    for name in NOT_COVERED:
        assert name in answer.sentence
    assert "a caution, never a clearance" in answer.sentence
    assert "local food code" in answer.sentence


def test_colder_is_never_more() -> None:
    """Limit: the same night in a colder room and fridge lets nothing grow more."""
    cold, warm = (
        may_it_be_kept(asked("brioche", room_c=room_c, fridge_c=fridge_c)).number("dough: salmonella").high
        for room_c, fridge_c in ((24.0, 2.0), (30.0, 9.0))
    )
    assert cold < warm


def test_what_is_not_baked_is_told_after_four_hours() -> None:
    """Hand: a cream cheese glaze sold for 14 h in the room is told; three and a half hours at 18 °C are not."""
    assert may_it_be_kept(asked("harbour-bun"), "glaze").look
    short = measured_path("glaze", "Glaze", [(0.0, 18.0), (2 * HOUR, 18.0), (3.5 * HOUR, 18.0)])
    long = measured_path("glaze", "Glaze", [(0.0, 18.0), (2 * HOUR, 18.0), (4 * HOUR, 18.0), (4.5 * HOUR, 18.0)])
    assert (kept_on(short).too_long, kept_on(long).too_long) == (False, True)


def test_what_is_baked_is_told_where_toxin_may_be_left() -> None:
    """Hand: a rich dough on its own evening may not reach three powers of ten; left 12 h at 28 °C it may."""
    usual = may_it_be_kept(asked("brioche", as_written=True), "dough")
    assert not usual.look
    left = may_it_be_kept(asked("brioche", room_c=28.0, lengths_s={"ferment": 12 * HOUR}), "dough")
    assert left.number("dough: staphylococcus-aureus").high > 3.0
    assert left.look


def test_in_the_cold_nothing_with_a_curve_but_listeria_grows() -> None:
    """Published: minima of 3.8 (Salmonella), 5.4 (S. aureus), 5.8 °C (B. cereus); Listeria grows at 3 °C."""
    path = [(n * HOUR, 3.5) for n in range(13)]
    answer = may_it_be_kept(asked("brioche"), "wash", path)
    for organism in ("salmonella", "staphylococcus-aureus", "bacillus-cereus"):
        assert answer.number(f"wash: {organism}").high == 0.0
    assert answer.number("wash: listeria-monocytogenes").high > 0.0


def test_without_egg_or_dairy_nothing_is_reckoned_or_cleared() -> None:
    """Behaviour: a lean loaf gets no numbers, and is told that this is no clearance."""
    answer = may_it_be_kept(asked("quay-loaf"))
    assert answer.numbers == ()
    assert "no clearance" in answer.sentence
    assert not answer.look


def test_a_part_there_is_not() -> None:
    """Bad input: the parts there are are named."""
    with pytest.raises(BadInput, match="has no part 'custard' \\(it has: dough, wash\\)"):
        may_it_be_kept(asked("brioche"), "custard")
    with pytest.raises(BadInput, match="a gap of"):
        may_it_be_kept(asked("brioche"), "wash", [(0.0, 4.0), (9 * HOUR, 4.0)])
