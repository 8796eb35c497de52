"""Verbs about formulas that are being written: draft, save without losing another's edit, compare, swap, try, list."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from smallhours.actions.compare_formulas import CompareFormulas, compare_formulas
from smallhours.actions.draft_formula import DraftFormula, draft_formula
from smallhours.actions.known_ingredients import known_ingredients
from smallhours.actions.list_formulas import list_formulas
from smallhours.actions.permissions import Actor
from smallhours.actions.save_formula import SaveFormula, save_formula
from smallhours.actions.show_formula import ShowFormula
from smallhours.actions.swap_formula import SwapInFormula, save_swap, swap_in_formula, swaps_of
from smallhours.actions.try_formula import TryFormula, sliders_of, stand_of, try_formula
from smallhours.bakery.formula.document import Formula, Line
from smallhours.bakery.formula.starting import on_dough_of, plain_dough
from smallhours.errors import BadInput, DocumentError, NotAllowed, Overtaken
from smallhours.records import keeping, queries

READER = Actor("Vera", "reader")
ANA, BEA = Actor("Ana", "head-baker"), Actor("Bea", "head-baker")


def _loaf() -> Formula:
    return queries.kept_formula("hearth-loaf").document


def _with_water(percent: float) -> Formula:
    loaf = _loaf()
    part = loaf.parts[0]
    lines = tuple(
        line.model_copy(update={"percent": percent}) if line.ingredient == "water" else line for line in part.lines
    )
    return loaf.model_copy(update={"parts": (part.model_copy(update={"lines": lines}),)})


def test_a_draft_is_laid_open_and_written_nowhere(bakery: Path) -> None:
    """Hand: 20 x 900 g / 0.99^2 = 18 365.5 g; with 70 % water over 172.8 %: flour 10 628.2 g, water 7 439.7 g."""
    shown = draft_formula(DraftFormula(_with_water(70), ShowFormula("", pieces=20)), READER)
    assert [round(line.exact_g, 1) for line in shown.parts[0].lines[:2]] == [10628.2, 7439.7]
    assert (shown.number, shown.newest) == (1, 1)
    assert queries.kept_formula("hearth-loaf").number == 1


def test_a_draft_of_a_new_formula_has_no_number(bakery: Path) -> None:
    """Behaviour: what is not in the store yet is revision 0."""
    shown = draft_formula(DraftFormula(plain_dough("new-loaf", "New loaf", "Dough")))
    assert (shown.number, shown.newest) == (0, 0)
    based = draft_formula(DraftFormula(on_dough_of(_loaf(), "new-roll", "New roll")))
    assert [line.key for line in based.parts[0].lines][:2] == ["bread-flour", "water"]


def test_a_draft_that_does_not_hold_together(bakery: Path) -> None:
    """Bad input: every fault at once, nothing else."""
    loaf = _loaf()
    part = loaf.parts[0]
    wrong = part.model_copy(update={"lines": (*part.lines, Line(ingredient="moon-dust", percent=1))})
    with pytest.raises(DocumentError, match="moon-dust"):
        draft_formula(DraftFormula(loaf.model_copy(update={"parts": (wrong,)})))


def test_who_is_slower_is_told(bakery: Path) -> None:
    """Behaviour: two change revision 1; the second to save is refused with both numbers, and nothing is written."""
    assert save_formula(SaveFormula(_with_water(66), "drier", made_from=1), ANA).number == 2
    with pytest.raises(Overtaken) as told:
        save_formula(SaveFormula(_with_water(70), "wetter", made_from=1), BEA)
    assert (told.value.made_from, told.value.newest) == (1, 2)
    assert queries.kept_formula("hearth-loaf").number == 2
    assert save_formula(SaveFormula(_with_water(70), "wetter", made_from=2), BEA).number == 3
    assert [(k.number, k.author, k.reason) for k in queries.formula_history("hearth-loaf")[:2]] == [
        (3, "Bea", "wetter"),
        (2, "Ana", "drier"),
    ]


def test_saving_twice_is_saving_once(bakery: Path) -> None:
    """Round trip: the same form sent again says nothing new and is no conflict."""
    save_formula(SaveFormula(_with_water(66), made_from=1), ANA)
    again = save_formula(SaveFormula(_with_water(66), made_from=1), ANA)
    assert (again.number, again.changed) == (2, False)


def test_a_new_formula_takes_no_others_id(bakery: Path) -> None:
    """Bad input: made from nothing, under an id that is there."""
    with pytest.raises(Overtaken, match="as a new one"):
        save_formula(SaveFormula(plain_dough("hearth-loaf", "Mine", "Dough"), made_from=0), ANA)
    with pytest.raises(NotAllowed):
        save_formula(SaveFormula(plain_dough("mine", "Mine", "Dough"), made_from=0), READER)


def test_two_revisions_side_by_side(bakery: Path) -> None:
    """Hand: water from 65 to 70 %; nothing else of the formula differs."""
    save_formula(SaveFormula(_with_water(70), "wetter", made_from=1), ANA)
    compared = compare_formulas(CompareFormulas("hearth-loaf", 1, 2), READER)
    changed = [(row.what, row.before, row.after) for row in compared.rows if row.changed]
    assert changed == [("water", "65 %; tempered: yes", "70 %; tempered: yes")]
    assert (compared.newer.author, compared.newer.reason) == ("Ana", "wetter")
    assert compared.names["water"] == ("Water", "Agua")
    assert any("70.00 %" in finding.sentence for finding in compared.findings)


def test_a_swap_before_and_after_and_written(bakery: Path) -> None:
    """Published: J. Hamelman (2004): a third of the fresh yeast as instant; here 0.8 % instant becomes 2.4 % fresh."""
    assert "instant-yeast-to-fresh" in swaps_of("hearth-loaf", READER)
    command = SwapInFormula("hearth-loaf", "instant-yeast-to-fresh")
    done = swap_in_formula(command, READER)
    (fresh,) = [move for move in done.moves if move.key == "yeast-fresh"]
    assert (fresh.before, fresh.after) == (0, pytest.approx(2.4, abs=0.05))
    assert queries.kept_formula("hearth-loaf").number == 1
    saved = save_swap(command, made_from=1, actor=ANA)
    assert saved.number == 2
    assert queries.kept_formula("hearth-loaf").reason == "swap instant-yeast-to-fresh"
    with pytest.raises(BadInput, match="make the swap in hearth-loaf"):
        save_swap(SwapInFormula("hearth-roll", "fresh-yeast-to-instant"), actor=ANA)


def test_what_is_usual_is_the_kitchens_and_the_formulas_own(bakery: Path) -> None:
    """Behaviour: room 21 °C, dough 24 °C off the mixer, pieces of 900 g; no fridge where no stage is in one."""
    sliders = {one.name: one for one in sliders_of(stand_of("hearth-loaf", READER))}
    assert {name: one.usual for name, one in sliders.items()} == {"room": 21, "dough": 24, "flour": 0, "piece": 900}
    assert all(one.low <= one.usual <= one.high for one in sliders.values())


def test_sliders_move_numbers(bakery: Path) -> None:
    """Hand: 3 points more are 68 % water; 10 kg at 170.8 % in pieces of 500 g: 10 000 x 0.99^2 / 500 = 19 of them. A
    warmer room is quicker (limit)."""
    plain = try_formula(TryFormula("hearth-loaf"), READER)
    other = try_formula(TryFormula("hearth-loaf", flour_points=3, piece_mass_g=500, room_c=27))
    assert plain.liquid.percent == pytest.approx(65.0)
    assert other.liquid.percent == pytest.approx(68.0, abs=0.01)
    assert other.water_percent == pytest.approx(68.0, abs=0.05)
    assert other.scaled.pieces == 19
    assert other.made.ready.median < plain.made.ready.median
    assert (plain.made.members, try_formula(TryFormula("hearth-loaf", members=500)).made.members) == (100, 500)


def test_ingredients_by_what_they_are_called(bakery: Path) -> None:
    """Behaviour: by key, English or Spanish name, in any case; what is near is named; own ingredients too."""
    known = known_ingredients(READER)
    for words in ("water", "Water", "  aGUA ", "AGUA"):
        assert known.key_of(words) == "water"
    assert known.key_of("White flour of the mill") == "mill-white"
    assert known.key_of("moon dust") is None
    assert known.key_of(known.name_of("bread-flour", "es")) == "bread-flour"
    assert "Salt" in known.near("Slat", "en")


def test_every_name_finds_its_ingredient(bakery: Path) -> None:
    """Round trip: what an ingredient is called on a page leads back to it, in both languages."""
    known = known_ingredients()
    for stuff in known.stuffs:
        for lang in ("en", "es"):
            assert known.key_of(known.name_of(stuff.key, lang)) == stuff.key


def _plan(night: dt.date, products: dict[str, bool]) -> None:
    orders = [
        {"product": name, "ready": "2026-01-15T05:00:00Z" if baked else None, "pieces": 1}
        for name, baked in products.items()
    ]
    at = dt.datetime(2026, 1, 14, 12, tzinfo=dt.UTC)
    keeping.keep_plan(night, {"orders": orders}, at, {"formulas": {}}, "baker")


def test_the_last_night_that_baked_it(bakery: Path) -> None:
    """Behaviour: the newest night up to today whose plan has it ready; the published plan of a night counts, and a
    night to come does not."""
    _plan(dt.date(2026, 1, 13), {"hearth-loaf": True, "hearth-roll": True})
    _plan(dt.date(2026, 1, 14), {"hearth-loaf": True})
    _plan(dt.date(2026, 1, 15), {"hearth-roll": False})
    _plan(dt.date(2026, 1, 20), {"hearth-roll": True})
    clock = lambda: dt.datetime(2026, 1, 15, 12, tzinfo=dt.UTC)  # noqa: E731
    last = {one.formula.id: one.last_bake for one in list_formulas(READER, clock)}
    assert last == {"hearth-loaf": dt.date(2026, 1, 14), "hearth-roll": dt.date(2026, 1, 13)}
    second = keeping.keep_plan(dt.date(2026, 1, 14), {"orders": []}, clock(), {"formulas": {}}, "baker")
    keeping.publish_plan(second)
    assert list_formulas(READER, clock)[0].last_bake == dt.date(2026, 1, 13)
