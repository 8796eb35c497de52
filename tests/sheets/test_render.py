"""The printed sheets, read back: everything is on them, in both languages and on both papers."""

from __future__ import annotations

import io
import re
from collections.abc import Mapping
from functools import cache

import pytest
from pypdf import PdfReader

from sheets.papers_fixture import fixture_papers
from sheets.plan_fixture import fixture_plan
from smallhours.bakery.formula.document import Formula, Sheet
from smallhours.errors import NotFound
from smallhours.planning.plan import Plan
from smallhours.sheets.bench import roll_diameter_mm
from smallhours.sheets.frame import Frame
from smallhours.sheets.papers import Papers
from smallhours.sheets.reference import qr_svg, reference
from smallhours.sheets.render import SHEETS, render
from smallhours.sheets.weigh_up import weigh_up_data, weighed
from smallhours.sheets.words import speech

NIGHT = "2026-11-15"


@cache
def _sheets(paper: str = "a4", lang: str = "en") -> Mapping[str, bytes]:
    return render(fixture_papers(), SHEETS, paper, lang)  # type: ignore[arg-type]


def _read(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def _text(pdf: bytes) -> str:
    return " ".join(_plain(page.extract_text()) for page in _read(pdf).pages)


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def _ticks(pdf: bytes) -> int:
    """Tick boxes are the only things drawn with a stroke of 1.2 pt."""
    streams = [page.get_contents() for page in _read(pdf).pages]
    return sum(stream.get_data().count(b" 1.2 w ") for stream in streams if stream is not None)


@pytest.mark.parametrize(("paper", "points"), [("a4", (595, 842)), ("letter", (612, 792))])
@pytest.mark.parametrize("lang", ["en", "es"])
def test_every_sheet_prints_on_its_paper(paper: str, points: tuple[int, int], lang: str) -> None:
    """Published: ISO 216 A4 is 210 x 297 mm, ANSI Letter 8.5 x 11 in; the orders lie on their side. Tagged PDF."""
    sheets = _sheets(paper, lang)
    assert set(sheets) == {f"{NIGHT}-{name}.pdf" for name in SHEETS}
    for name, pdf in sheets.items():
        reader = _read(pdf)
        box = reader.pages[0].mediabox
        size = (round(box.width), round(box.height))
        assert size == points
        if "night" in name:
            box = reader.pages[-1].mediabox
            assert (round(box.width), round(box.height)) == points[::-1]
        assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
        assert reader.trailer["/Root"]["/Lang"] == lang
        assert reader.metadata is not None
        assert reader.metadata.title


@pytest.mark.parametrize("lang", ["en", "es"])
def test_only_the_shipped_fonts_are_used_and_no_glyph_is_missing(lang: str) -> None:
    """Behaviour: every machine prints the same letters; nothing reads back as a replacement character."""
    for pdf in _sheets("a4", lang).values():
        for page in _read(pdf).pages:
            fonts = [font.get_object()["/BaseFont"] for font in page["/Resources"]["/Font"].values()]
            assert all("SmallhoursSans" in font or "DejaVuSans" in font for font in fonts)
            assert "\ufffd" not in page.extract_text()


@pytest.mark.parametrize("lang", ["en", "es"])
def test_every_mass_is_on_the_weigh_up_sheet_with_its_tick_box(lang: str) -> None:
    """Round trip: the masses of the weigh-up -> PDF -> read back, in order, one tick box for each."""
    papers, talk = fixture_papers(), speech(lang)
    frame = Frame(papers, "a4", lang)
    text = _text(_sheets("a4", lang)[f"{NIGHT}-weigh-up.pdf"])
    rows = 0
    for batch in papers.batches():
        sheet = weighed(frame, batch)
        start = text.index(_plain(batch.name))
        for row in sheet.rows:
            rows += 1
            start = text.index(_plain(talk.mass(row.mass_g, row.step_g)), start)
    assert rows > 40
    assert _ticks(_sheets("a4", lang)[f"{NIGHT}-weigh-up.pdf"]) == rows


def test_the_weigh_up_sheet_adds_up() -> None:
    """Limit: the rows of each bowl add up to its mass, to within half a step of each scale used."""
    papers = fixture_papers()
    for batch in papers.batches():
        sheet = weighed(Frame(papers, "a4", "en"), batch)
        steps = {row.step_g for row in sheet.rows}
        assert sum(row.mass_g for row in sheet.rows) == pytest.approx(batch.mass_g, abs=sum(steps) / 2 + 1e-6)
        assert sheet.total_g == pytest.approx(sum(row.mass_g for row in sheet.rows))


def test_liquid_target_and_speeds_are_large_and_there() -> None:
    """Behaviour: the bun dough's liquid, ice, target, mixing minutes and butter stand on its sheet."""
    text = _text(_sheets()[f"{NIGHT}-weigh-up.pdf"])
    for words in ("Liquid at 8 °C", "of it as ice 320 g", "Dough wanted at 24 °C", "Butter at 16 °C",
                  "First speed 10 min", "Second speed 5 min", "Start mixing 16:44"):  # fmt: skip
        assert words in text
    assert "Allergens in it: egg, gluten, milk and wheat" in text
    assert "local food-safety rules" in text


def test_what_waits_for_developed_gluten_is_said_so() -> None:
    """Behaviour: butter stands last, under its own heading."""
    data = weigh_up_data(Frame(fixture_papers(), "a4", "en"))
    page = next(page for page in data["pages"] if page["title"] == "Cardamom dough")
    assert [group["title"] for group in page["groups"]] == [
        "First into the bowl", "Goes in 2", "Goes in 3: when the dough is developed",
    ]  # fmt: skip
    assert [row["name"] for row in page["groups"][-1]["rows"]] == ["Butter, unsalted"]


def test_the_bench_sheet_has_sizes_stages_and_times() -> None:
    """Behaviour: sheet, thickness, roll, slices, pieces, pans, and every task of every product's lots."""
    plan, text = fixture_plan(), _text(_sheets()[f"{NIGHT}-bench.pdf"])
    for words in ("40.6 cm × 30.5 cm", "8 mm", "8 of 50.8 mm", "Each piece 142 g", "48 + 48", "8 in each"):
        assert words in text
    talk = speech("en")
    shown = [t for t in plan.tasks if t.lot or t.batch in {b.id for b in plan.batches if b.lots}]
    for task in shown:
        assert f"{_clock(plan, task.start)} {talk.say('stage.' + task.kind)}" in text
    assert _ticks(_sheets()[f"{NIGHT}-bench.pdf"]) >= len(shown)


def test_the_roll() -> None:
    """Hand: a 300 mm side, 8 mm thick, has 2400 mm² of section; a circle of that has 2 sqrt(2400/pi) = 55.28 mm."""
    sheet = Sheet(length_mm=400, width_mm=300, thickness_mm=8, roll_along="length")
    assert roll_diameter_mm(sheet) == pytest.approx(55.279, abs=1e-3)
    assert roll_diameter_mm(sheet.model_copy(update={"thickness_mm": None})) is None


def test_the_oven_list_is_in_order_of_time() -> None:
    """Round trip: each oven's heating and loads, in the order of the night, two boxes for each load."""
    plan, text = fixture_plan(), _text(_sheets()[f"{NIGHT}-oven.pdf"])
    for deck in ("deck-1", "deck-2", "convection"):
        name = next(r.name for r in plan.resources if r.id == deck)
        at = text.index(name)
        for task in sorted((t for t in plan.tasks if t.place == deck), key=lambda t: t.start):
            at = text.index(_clock(plan, task.start) + " ", at)
            at = text.index(f"{task.set_temp_c:.0f} °C", at)
            at = text.index(_clock(plan, task.end), at)
    assert text.count("Set to") == len(plan.ovens)
    assert _ticks(_sheets()[f"{NIGHT}-oven.pdf"]) == 2 * sum(task.kind == "bake" for task in plan.tasks)


@pytest.mark.parametrize(("lang", "late"), [("en", "Quay loaf: 11 min late."), ("es", "Quay loaf: 11 min tarde.")])
def test_the_night_has_orders_and_what_is_late(lang: str, late: str) -> None:
    """Behaviour: each due wave with its orders, and why something is late, in the language of the sheet."""
    plan, text = fixture_plan(), _text(_sheets("a4", lang)[f"{NIGHT}-night.pdf"])
    for order in plan.orders:
        assert order.ready is not None
        assert _clock(plan, order.due) in text
        assert f"{order.customer} {order.pieces} {_clock(plan, order.ready)}" in text
    assert late in text
    assert "Deck oven, lower" in text


def _clock(plan: Plan, at: object) -> str:
    import datetime as dt
    import zoneinfo

    assert isinstance(at, dt.datetime)
    return f"{at.astimezone(zoneinfo.ZoneInfo(plan.timezone)):%H:%M}"


def test_the_same_papers_print_the_same_bytes() -> None:
    """Behaviour: no date, no chance in a PDF."""
    again = render(fixture_papers(), ["oven", "night"])
    assert all(again[name] == _sheets()[name] for name in again)


def test_names_are_never_read_as_markup() -> None:
    """Bad input: Typst markup, quotes, other scripts, emoji, right-to-left and 200 letters in names print as such."""
    name = '#panic("x") $ x^2 $ *b* _i_ `c` <l> @r \\ // " \' 🥐 東京 خبز \u202e ' + "long " * 25
    papers = fixture_papers()
    plan = papers.plan.model_copy(
        update={
            "kitchen_name": name,
            "batches": tuple(b.model_copy(update={"name": name}) for b in papers.plan.batches),
            "people": tuple(p.model_copy(update={"name": name}) for p in papers.plan.people),
            "resources": tuple(r.model_copy(update={"name": name}) for r in papers.plan.resources),
            "notes": (name,),
        }
    )
    formulas: dict[str, Formula] = {
        i: f.model_copy(update={"name": name, "note": name}) for i, f in papers.formulas.items()
    }
    for pdf in render(Papers(plan, formulas, papers.kitchen, papers.pantry)).values():
        text = _text(pdf)
        assert '#panic("x") $ x^2 $ *b* _i_ `c` <l> @r' in text
        assert "□" in text


def test_an_empty_plan_prints_sheets_that_say_so() -> None:
    """Bad input: no tasks, no batches, no orders."""
    plan = fixture_plan().model_copy(
        update={"tasks": (), "batches": (), "ovens": (), "orders": (), "courses": (), "links": (), "late": (),
                "status": "empty"}
    )  # fmt: skip
    for name, pdf in render(fixture_papers(plan)).items():
        assert ("No orders" if "night" in name else "Nothing to print") in _text(pdf)


def test_what_is_not_there_is_named() -> None:
    """Bad input: sheets, papers, languages and formulas that are not there."""
    papers = fixture_papers()
    for which, paper, lang, found in (
        (["poster"], "a4", "en", "poster"), (["oven"], "a3", "en", "a3"), (["oven"], "a4", "xx", "xx"),
    ):  # fmt: skip
        with pytest.raises(NotFound, match=found):
            render(papers, which, paper, lang)  # type: ignore[arg-type]
    with pytest.raises(NotFound, match="harbour-bun"):
        render(Papers(papers.plan, {}, papers.kitchen, papers.pantry), ["bench"])


def test_references() -> None:
    """Published: RFC 3986 percent-encoding; a QR code has 21 modules a side or more (ISO/IEC 18004)."""
    plan = fixture_plan()
    assert reference(plan, "batch", "a b/ñ") == f"smallhours:plan/{NIGHT}/batch/a%20b%2F%C3%B1"
    side = re.search(r'viewBox="0 0 (\d+)', qr_svg("a"))
    assert side is not None
    assert int(side[1]) == 21 + 2 * 2
