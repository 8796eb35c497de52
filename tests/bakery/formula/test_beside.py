from __future__ import annotations

from smallhours.bakery.formula.beside import beside
from smallhours.bakery.formula.document import Formula, Line, Part, Stage, Yield


def _formula(**changed):
    given = {
        "id": "loaf",
        "name": "Loaf",
        "parts": (
            Part(
                id="dough",
                name="Dough",
                lines=(
                    Line(ingredient="bread-flour", percent=100),
                    Line(ingredient="water", percent=62),
                    Line(ingredient="sugar", percent=5),
                    Line(ingredient="sugar", percent=5, addition=2),
                ),
            ),
        ),
        "output": Yield(piece_mass_g=900),
        "stages": (Stage(kind="mix", low_s=300), Stage(kind="bake", duration_s=2400, set_temp_c=230)),
    }
    return Formula(**(given | changed))


def test_the_same_formula_has_no_change():
    """Limit: a formula beside itself; every row says the same twice."""
    rows = beside(_formula(), _formula())
    assert rows
    assert not any(row.changed for row in rows)


def test_a_line_that_changes_comes_and_goes():
    """Behaviour: a changed percentage, a line gone and a line come, each on a row of its own, in the newer order."""
    lines = (
        Line(ingredient="bread-flour", percent=100),
        Line(ingredient="water", percent=64.5, tempered=True),
        Line(ingredient="salt", percent=2),
        Line(ingredient="sugar", percent=5, addition=2),
    )
    new = _formula(parts=(Part(id="dough", name="Dough", lines=lines),))
    rows = [(r.what, r.before, r.after) for r in beside(_formula(), new) if r.kind == "line" and r.changed]
    assert rows == [
        ("water", "62 %", "64.5 %; tempered: yes"),
        ("sugar", "5 %", None),
        ("salt", None, "2 %"),
    ]


def test_stages_and_output_are_told_with_their_units():
    """Behaviour: durations, temperatures and masses stand as people write them."""
    new = _formula(
        output=Yield(piece_mass_g=850),
        stages=(Stage(kind="mix", low_s=360), Stage(kind="proof", duration_s=5400, at_temp_c=24)),
    )
    rows = {(r.kind, r.place, r.what): (r.before, r.after) for r in beside(_formula(), new) if r.changed}
    assert rows["output", "", "piece_mass"] == ("900 g", "850 g")
    assert rows["stage", "dough: mix", "low"] == ("5 min", "6 min")
    assert rows["stage", "dough: proof", "duration"] == (None, "1 h 30 min")
    assert rows["stage", "dough: proof", "at_temp"] == (None, "24 °C")
    assert rows["stage", "dough: bake", "set_temp"] == ("230 °C", None)


def test_a_part_that_is_gone():
    """Behaviour: what only the older version has is told too."""
    filling = Part(id="filling", name="Filling", mass_per_piece_g=20, lines=(Line(ingredient="sugar", percent=100),))
    old = _formula(parts=(*_formula().parts, filling))
    rows = {(r.place, r.what): (r.before, r.after) for r in beside(old, _formula()) if r.changed}
    assert rows["filling", "name"] == ("Filling", None)
    assert rows["filling", "sugar"] == ("100 %", None)
    assert rows["filling", "mass_per_piece"] == ("20 g", None)
