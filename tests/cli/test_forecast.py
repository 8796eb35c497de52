"""``forecast`` and ``ask``: answers in the terminal, as JSON, as a picture; exit codes 0, 1 and 2."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from cli_run import Run

FEW = ("--members", "60")


def test_a_forecast_says_every_stage(run: Run, demo: Path, tmp_path: Path) -> None:
    """Behaviour: a row for each stage, when it is ready, and the picture where it was asked for."""
    picture = tmp_path / "loaf.svg"
    answer = run("forecast", "milk-loaf", "--home", str(demo), "--start", "18:30", "--picture", str(picture), *FEW)
    assert answer.code == 0
    for word in ("ferment", "proof", "bake", "18:30", "ready for the oven", "no bake of this formula is logged"):
        assert word in answer.out
    assert ET.parse(picture).getroot().tag.endswith("svg")


def test_a_forecast_says_what_is_left_warm_too_long(run: Run, demo: Path) -> None:
    """Behaviour: a cream glaze sold all day in the room is told, in words and as data; a lean loaf has nothing."""
    told = run("forecast", "harbour-bun", "--home", str(demo), *FEW)
    assert "mind: Cream cheese glaze: " in told.out
    assert "never a clearance" in told.out
    answer = run("forecast", "harbour-bun", "--home", str(demo), "--json", *FEW)
    assert [text.split(":")[0] for text in answer.json["cautions"]] == ["Cream cheese glaze"]
    assert run("forecast", "quay-loaf", "--home", str(demo), "--json", *FEW).json["cautions"] == []


def test_a_picture_in_dots(run: Run, demo: Path, tmp_path: Path) -> None:
    """Published: the file begins as ISO/IEC 15948 wants it; the answer says where it is."""
    picture = tmp_path / "loaf.PNG"
    answer = run("forecast", "milk-loaf", "--home", str(demo), "--picture", str(picture), "--json", *FEW)
    assert answer.json["picture"] == str(picture)
    assert picture.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"


def test_a_forecast_as_the_formula_means_it(run: Run, demo: Path) -> None:
    """Limit: as JSON every stage takes its own time."""
    answer = run("forecast", "brioche", "--home", str(demo), "--as-written", "--json", *FEW)
    stages = answer.json["stages"]
    assert len(stages) == 9
    for stage in stages:
        assert stage["length_s"]["median"] == pytest.approx(stage["reference_s"], rel=1e-9)
        assert stage["logged_bakes"] == 0


def test_the_same_seed_says_the_same(run: Run, demo: Path) -> None:
    """Behaviour: reproducible; another seed is another draw."""
    said = [run("forecast", "focaccia", "--home", str(demo), "--json", "--seed", s, *FEW).out for s in "112"]
    assert said[0] == said[1] != said[2]


def test_a_place_in_which_it_never_gets_there_ends_with_one(run: Run, demo: Path) -> None:
    """Behaviour: a room at freezing point needs attention."""
    answer = run("forecast", "dinner-roll", "--home", str(demo), "--room", "0 °C", *FEW)
    assert answer.code == 1
    assert "too cold" in answer.out


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("ready", "milk-loaf", "--room", "17 °C"), 0, "ready for the oven"),
        (("night", "milk-loaf", "--in", "19:00", "--out", "06:00", "--fridge", "5 °C"), 0, "After 11 h"),
        (("night", "milk-loaf", "--in", "19:00", "--out", "18:00", "--fridge", "14 °C"), 1, "over-proofed"),
        (("chill", "croissant", "--core", "6 °C"), 0, "6 °C in its core"),
        (("yeast", "milk-loaf", "--later", "2 h"), 0, "2 h later"),
        (("yeast", "milk-loaf", "--sooner", "20 min"), 0, "20 min sooner"),
        (("retard-or-bake", "milk-loaf", "--start", "18:00", "--due", "13:00"), 0, "Put it in the fridge"),
        (
            (
                "fridge-failed",
                "milk-loaf",
                "--in",
                "19:00",
                "--failed",
                "02:00",
                "--seen",
                "05:30",
                "--stands",
                "11 °C",
            ),
            1,
            "Left there",
        ),
        (("bigger", "milk-loaf", "--times", "2"), 0, "1680 g"),
        (("bake", "milk-loaf", "--oven", "205 °C", "--load", "20 kg", "--heating", "12"), 0, "A full oven"),
        (("bake", "milk-loaf", "--altitude", "1600"), 1, "no core comes to 94 °C"),
        (("cool", "harbour-bun", "--room", "24 °C", "--core", "30 °C"), 0, "at 30 °C in its core"),
        (("cool", "harbour-bun", "--room", "36 °C"), 1, "cooler place"),
        (("flour", "seeded-loaf", "--whole-grain", "0.5"), 0, "points of water less"),
        (("flour", "seeded-loaf", "--absorbs", "3"), 0, "90.3 % water"),
        (("starter", "mooring-loaf", "--room", "20 °C", "--ready-in", "8 h"), 0, "give it"),
        (("starter", "quay-loaf", "--part", "poolish", "--start", "18:30"), 0, "feed it at"),
        (("sweeter", "milk-loaf", "--sugar", "12 %", "--salt", "1.8 %"), 0, "makes up for it"),
        (("sweeter", "brioche", "--sugar", "45 %"), 1, "osmotolerant"),
        (("butter", "--room", "24 °C", "--block", "1 kg", "--thickness", "2 cm", "--rack"), 0, "20 mm thick"),
        (("butter", "croissant", "--room", "36 °C"), 1, "its layers smear"),
        (("butter", "brioche", "--room", "22 °C", "--butter", "4 °C"), 1, "stays in lumps"),
        (("temper", "eggs", "--room", "22 °C"), 0, "Eggs of 60 g"),
        (("temper", "milk", "--room", "22 °C", "--to", "16 °C", "--mass", "500 g"), 0, "16 °C after"),
        (("air", "quay-loaf", "--room", "26 °C", "--humidity", "88 %"), 0, "its skin stays soft"),
        (("air", "brioche", "--proofer-humidity", "80 %", "--tray", "4 °C"), 1, "a tray of 4 °C sweats"),
        (("keep", "brioche", "--part", "dough", "--room", "22 °C"), 0, "a caution, never a clearance"),
        (("keep", "harbour-bun", "--part", "glaze"), 1, "Cream cheese glaze is"),
        (("keep", "tea-cake", "--probe", "0 h = 4 °C", "--probe", "1 h = 18 °C"), 0, "at most 18 °C"),
    ],
)
def test_a_dough_answers(run: Run, demo: Path, words: tuple[str, ...], code: int, told: str) -> None:
    """Behaviour: one sentence and what it rests on; 1 where a baker has to look."""
    answer = run("ask", *words, "--home", str(demo), *FEW)
    assert answer.code == code, answer.err
    assert told in answer.out
    assert "This rests on" in answer.out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("forecast", "milk-loaf", "--room", "-40 °C"), "the room must be 0 to 50 °C"),
        (("forecast", "milk-loaf", "--room", "140 °C"), "the room must be 0 to 50 °C"),
        (("forecast", "milk-loaf", "--yeast", "0"), "the yeast must be"),
        (("forecast", "milk-loaf", "--yeast", "40 %"), "the yeast must be"),
        (("forecast", "milk-loaf", "--yeast", "some"), "is not a percentage"),
        (("forecast", "milk-loaf", "--start", "25:77"), "is not a time"),
        (("forecast", "milk-loaf", "--start", "2020-01-01 10:00"), "more than two days ago"),
        (("forecast", "milk-loaf", "--way", "proof"), "write it like proof=fridge"),
        (("forecast", "milk-loaf", "--way", "proof=freezer"), "is not done in the freezer"),
        (("forecast", "milk-loaf", "--members", "3"), "number of members"),
        (("forecast", "milk-loaf", "--picture", "/nowhere/at/all.svg"), "cannot be written"),
        (("forecast", "milk-loaf", "--picture", "/nowhere/at/all.png"), "cannot be written"),
        (("forecast", "milk-loaf", "--picture", "loaf.jpg"), "must end with .svg (lines) or .png (dots)"),
        (("forecast", "milk-loav"), "milk-loaf"),
        (("ask", "night", "milk-loaf", "--in", "19:00"), "needs --in and --out"),
        (("ask", "starter", "milk-loaf"), "has no starter"),
        (("ask", "starter", "mooring-loaf", "--ready-in", "soon"), "--ready-in"),
        (("ask", "sweeter", "milk-loaf"), "say how much sugar or salt"),
        (("ask", "night", "milk-loaf", "--in", "7 pm", "--out", "06:00"), "is not a time of day"),
        (("ask", "yeast", "milk-loaf"), "--later or --sooner"),
        (("ask", "yeast", "milk-loaf", "--later", "soon"), "is not a duration"),
        (("ask", "flour", "milk-loaf"), "--whole-grain"),
        (("ask", "retard-or-bake", "milk-loaf", "--due", "06:00"), "--start"),
        (("ask", "chill", "mast-stick"), "has no chill"),
        (("ask", "bake", "milk-loaf", "--load", "20 kg"), "--heating"),
        (("ask", "bake", "milk-loaf", "--oven", "900 °C"), "the oven must be 100 to 350 °C"),
        (("ask", "bake", "egg-dough"), "is not baked"),
        (("ask", "cool", "milk-loaf", "--topping", "jam"), "a topping must be one of"),
        (("ask", "butter", "--room", "-40 °C"), "the room must be 0 to 50 °C"),
        (("ask", "butter", "--room", "140 °C"), "the room must be 0 to 50 °C"),
        (("ask", "butter", "--thickness", "0 mm"), "the thickness of the block must be 3 to 500 mm"),
        (("ask", "butter", "--thickness", "thin"), "--thickness: "),
        (("ask", "butter", "--block", "0 g"), "the mass of the block must be"),
        (("ask", "butter", "brioche", "--butter", "nan °C"), "--butter"),
        (("ask", "temper", "eggs", "--room", "15 °C"), "does not warm eggs to 18 °C"),
        (("ask", "keep", "brioche", "--part", "custard"), "has no part 'custard'"),
        (("ask", "keep", "brioche", "--probe", "18 °C"), "write it like '2 h = 18 °C'"),
        (("ask", "keep", "brioche", "--probe", "0 h = 4 °C"), "two readings or more"),
        (("ask", "keep", "brioche", "--probe", "0 h = 4 °C", "--probe", "9 h = 4 °C"), "a gap of 9.0 h"),
        (("ask", "keep", "brioche", "--probe", "2 h = 4 °C", "--probe", "1 h = 4 °C"), "must rise"),
        (("ask", "keep", "brioche", "--probe", "0 h = nan °C", "--probe", "1 h = 4 °C"), "--probe"),
        (("ask", "keep", "brioche", "--room", "140 °C"), "the room must be 0 to 50 °C"),
        (("ask", "air", "brioche", "--humidity", "140 %"), "the humidity of the room must be 5 to 99 %"),
        (("ask", "air", "brioche", "--humidity", "nan"), "the humidity of the room must be 5 to 99 %"),
    ],
)
def test_what_cannot_be_asked(run: Run, demo: Path, words: tuple[str, ...], told: str) -> None:
    """Bad input: one clear sentence, exit code 2."""
    answer = run(*words, "--home", str(demo))
    assert answer.code == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) == 1
