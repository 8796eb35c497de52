from __future__ import annotations

import tomllib

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from smallhours.bakery.formula.document import Formula, Line, Part, Shaping, Sheet, Stage, Way, Yield
from smallhours.errors import DocumentError

WHOLE = """
id = "roll"
name = "Roll"
pan = "tray"
pieces_per_pan = 12
fresh = "20 h"
[[parts]]
id = "dough"
name = "Dough"
target_temp = "75 °F"
lines = [
  { ingredient = "bread-flour", percent = 100, household = "4 cups" },
  { ingredient = "water", percent = 60, tempered = true },
  { part = "levain", flour_percent = 20 },
]
[[parts]]
id = "levain"
name = "Levain"
kind = "preferment"
lines = [{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 100 }]
[[parts]]
id = "filling"
name = "Filling"
kind = "filling"
percent_on = "butter-unsalted"
ratio_percent = 30
ratio_to = "dough"
lines = [{ ingredient = "butter-unsalted", percent = 100 }]
[output]
baked_mass = "3 oz"
bake_loss_percent = 11.5
[shaping]
sheet = { length = "16 in", width = "12 in", roll_along = "length", slice_width = "2 in", slices = 8 }
[[stages]]
kind = "mix"
low = "3 min"
high = "5 min"
[[stages]]
kind = "proof"
duration = "1 h 30 min"
instead = [{ place = "fridge", duration = "10 h", max = "16 h", temper = "30 min" }]
[[stages]]
kind = "bake"
duration = "18 min"
set_temp = "390 °F"
uses = ["filling"]
"""


def whole(**changed: object) -> dict[str, object]:
    return {**tomllib.loads(WHOLE), **changed}


def faults(data: dict[str, object]) -> dict[str, str]:
    with pytest.raises(DocumentError) as error:
        Formula.read(data, "roll.toml")
    return {fault.where: fault.what for fault in error.value.faults}


def test_both_text_forms_come_back():
    """Round trip: TOML and JSON data read back to an equal formula."""
    roll = Formula.read_toml(WHOLE, "roll.toml")
    assert Formula.read(roll.to_json_data(), "roll.json") == roll
    again = Formula.read_toml(roll.to_toml(), "roll.toml")
    assert again.output.baked_mass_g == pytest.approx(85.0486, abs=0.001)
    assert again.model_copy(update={"output": roll.output}) == roll


def test_the_schema_takes_both_forms():
    """Behaviour: the published JSON Schema (2020-12) takes the text form, and refuses what the reader refuses."""
    schema = Formula.json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    check = jsonschema.Draft202012Validator(schema)
    assert list(check.iter_errors(tomllib.loads(WHOLE))) == []
    assert list(check.iter_errors(whole(pieces_per_pan=0)))
    assert list(check.iter_errors(whole(colour="blue")))


SLUG = st.sampled_from(["bread-flour", "water", "salt", "egg-whole", "butter-unsalted"])
PERCENT = st.floats(0, 200).map(lambda x: round(x, 3))


@st.composite
def formulas(draw: st.DrawFn) -> Formula:
    lines = draw(
        st.lists(
            st.builds(
                Line,
                ingredient=SLUG,
                percent=PERCENT,
                addition=st.integers(1, 4),
                tempered=st.booleans(),
                temp_c=st.none() | st.integers(-5, 40).map(float),
            ),
            min_size=1,
            max_size=6,
        )
    )
    whole_s = st.integers(0, 200_000).map(float)
    stages = draw(
        st.lists(
            st.builds(Stage, kind=st.sampled_from(["mix", "rest", "shape"]), id=st.none(), duration_s=whole_s,
                      rise=st.none() | st.floats(1, 4).map(lambda x: round(x, 2))),
            max_size=3,
            unique_by=lambda stage: stage.kind,
        )
    )  # fmt: skip
    return Formula(
        id="drawn",
        name=draw(st.sampled_from(["Bun", "Pan d'abril", 'A "B"'])),
        parts=(Part(id="dough", name="Dough", lines=tuple(lines)),),
        stages=tuple(stages),
        output=draw(st.none() | st.builds(Yield, piece_mass_g=st.integers(1, 10**6).map(float))),
    )


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(formulas())
def test_any_formula_comes_back(formula):
    """Property: what is written as TOML or JSON reads back the same."""
    assert Formula.read_toml(formula.to_toml(), "drawn") == formula
    assert Formula.read(formula.to_json_data(), "drawn") == formula


def test_a_part_that_feeds_itself():
    """Bad input: directly, and around a corner."""
    data = whole()
    data["parts"][1]["lines"].append({"part": "dough", "percent": 5})
    assert faults(data)["part 'dough'"].startswith("feeds itself: dough <- levain <- dough")
    data["parts"][1]["lines"][-1] = {"part": "levain", "percent": 5}
    assert faults(data)["part 'levain'"] == "feeds itself: levain <- levain"


def test_parts_that_are_not_there():
    """Bad input: in a line, a ratio, a stage, and as main part."""
    data = whole(main="batter")
    data["parts"][0]["lines"][2]["part"] = "poolish"
    data["parts"][2]["ratio_to"] = "bun"
    data["stages"][2]["uses"] = ["icing"]
    said = faults(data)
    assert "'batter' is not among the parts" in said["main"]
    assert said["stage 'bake'"] == "names the part 'icing', which is not there (there are: dough, filling, levain)"
    assert {"part 'dough'", "part 'filling'"} <= set(said)


def test_sizes_that_contradict():
    """Bad input: no size, two sizes, the main part sized or taken in, one without the other."""
    data = whole()
    del data["parts"][2]["ratio_percent"], data["parts"][2]["ratio_to"]
    assert "has no size" in faults(data)["part 'filling'"]
    data["parts"][2] |= {"mass_per_piece": "10 g", "mass_per_pan": "100 g"}
    assert "not several" in faults(data)["part 'filling'"]
    del data["parts"][2]["mass_per_pan"]
    data["parts"][1]["mass_per_piece"] = "10 g"
    assert "is sized twice" in faults(data)["part 'levain'"]
    del data["parts"][1]["mass_per_piece"]
    data["parts"][0]["mass_per_piece"] = "80 g"
    assert "is the main part" in faults(data)["part 'dough'"]
    del data["parts"][0]["mass_per_piece"]
    data["parts"][2]["lines"].append({"part": "dough", "percent": 5})
    assert "write main = 'filling'" in faults(data)["part 'dough'"]
    data = whole()
    del data["parts"][2]["ratio_to"]
    assert "go together" in faults(data)["part 'filling'"]


def test_lines_that_say_too_little_or_too_much():
    """Bad input: nothing named, two amounts, percent and mass in one part, a flour share of an ingredient."""
    data = whole()
    data["parts"][2]["lines"] = [{"percent": 5}]
    assert "names either" in faults(data)["part 'filling', line 1 (?)"]
    data["parts"][2] |= {"lines": [{"ingredient": "salt", "percent": 5, "mass": "3 g"}], "percent_on": "mass"}
    assert "exactly one of" in faults(data)["part 'filling', line 1 (salt)"]
    data["parts"][2]["lines"] = [{"ingredient": "salt", "percent": 5}, {"ingredient": "sugar", "mass": "3 g"}]
    assert "not some of each" in faults(data)["part 'filling', lines"]
    data["parts"][2]["lines"] = [{"ingredient": "salt", "flour_percent": 5}]
    assert "use percent" in faults(data)["part 'filling', line 1 (salt)"]
    data["parts"][2]["lines"] = []
    assert "parts[3].lines" in faults(data)


def test_a_basis_that_is_not_there():
    """Bad input: percent on an ingredient that the part does not have."""
    data = whole()
    data["parts"][2]["percent_on"] = "sugar"
    assert "neither 'part', 'total', 'mass' nor an ingredient" in faults(data)["part 'filling', percent_on"]


def test_yields_that_cannot_be():
    """Bad input: both masses, none, zero, a loss of more than half."""
    assert "either piece_mass" in faults(whole(output={"piece_mass": "90 g", "baked_mass": "80 g"}))["output"]
    assert "either piece_mass" in faults(whole(output={}))["output"]
    assert "more than 0 g" in faults(whole(output={"piece_mass": "0 g"}))["output.piece_mass_g"]
    assert "under 60" in faults(whole(output={"piece_mass": "9 g", "mix_loss_percent": 60}))["output.mix_loss_percent"]


def test_stages_that_cannot_be():
    """Bad input: no length, no oven temperature, limits the wrong way round, a temper longer than the stage, the same
    id twice."""
    bad = [
        {"kind": "mix"},
        {"kind": "bake", "duration": "10 min"},
        {"kind": "rest", "duration": "10 min", "min": "20 min", "max": "5 min"},
        {
            "kind": "proof",
            "duration": "1 h",
            "instead": [{"place": "fridge", "duration": "8 h", "min": "9 h", "temper": "10 h"}],
        },
        {"kind": "rest", "duration": "10 min"},
    ]
    said = faults(whole(stages=bad))
    assert "reference length" in said["stage 1 (mix), duration"]
    assert "oven's set temperature" in said["stage 2 (bake), set_temp"]
    assert said["stage 3 (rest), min"] == "is longer than max"
    assert any(where.startswith("stage 4 (proof), instead (fridge)") for where in said)
    assert said["stage 'dough: rest'"] == "is there 2 times; give each stage its own id"


def test_a_formula_on_a_base_is_checked_when_joined():
    """Behaviour: parts of the base are not missed before it is there; faults of its own are still found."""
    text = (
        'id = "bun"\nname = "Bun"\nbase = "roll"\n[[stages]]\nkind = "bake"\nduration = "12 min"\nset_temp = "200 °C"\n'
    )
    bun = Formula.read_toml(text, "bun.toml")
    assert bun.stages_of("dough")[0].kind == "bake"
    with pytest.raises(KeyError):
        bun.part("dough")
    with pytest.raises(DocumentError, match="set_temp"):
        Formula.read_toml(text.replace('set_temp = "200 °C"\n', ""), "bun.toml")


def test_parts_that_documents_are_made_of():
    """Behaviour: the pieces can be built in code, in inside units."""
    sheet = Sheet(length_mm=406.4, width_mm=304.8, roll_along="length", slice_width_mm=50.8)
    assert Shaping(form="sheet", sheet=sheet).sheet == sheet
    assert list(Way(place="fridge", duration_s=3600, min_s=1800, max_s=7200).faults()) == []
    assert Stage(kind="rest", id="bench-rest", duration_s=600).key == "bench-rest"
