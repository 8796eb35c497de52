"""The tutorial can be followed: its file comes in, its steps do what they say."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path

import pytest

from docs.pages import DOCS, blocks
from smallhours.actions.export_documents import ExportDocuments, export_documents
from smallhours.actions.import_documents import ImportDocuments, import_documents
from smallhours.actions.load_demo import load_demo
from smallhours.actions.shelf import shelf
from smallhours.bakery.ingredient import Ingredient, IngredientList, OwnComposition

START = DOCS / "start"
TABLE = START / "orders-for-thursday.csv"
THURSDAY = dt.date(2026, 12, 3)


@pytest.fixture
def demo(home: Path) -> Iterator[Path]:
    """An open store with the invented bakery."""
    load_demo()
    return home


def test_the_order_table_comes_in(demo: Path):
    """Behaviour: every row is understood; the shop's buns take the place of its standing order, the school is new."""
    before = {(o.customer, o.product): o.pieces for o in shelf().orders.on(THURSDAY)}
    report = import_documents(ImportDocuments((TABLE,)))
    assert not report.refused
    assert [row.problem for row in report.files[0].table.rows] == [None, None, None]
    after = {(o.customer, o.product): o.pieces for o in shelf().orders.on(THURSDAY)}
    changed = {("Our shop", "harbour-bun"): 24, ("Café on the mole", "croissant"): 24}
    assert all(before[key] != pieces for key, pieces in changed.items())
    assert after == before | changed | {("School kitchen", "dinner-roll"): 40}


def test_the_page_shows_the_file_it_gives():
    """Behaviour: the table on the page is the file beside it."""
    assert TABLE.read_text(encoding="utf-8") in blocks(START / "first-evening.md", "")


def test_a_formula_is_changed_as_the_page_says(demo: Path, tmp_path: Path):
    """Behaviour: exported, its cinnamon set from 11 to 9 by hand, checked in as revision 2."""
    (file,) = export_documents(ExportDocuments(tmp_path, "harbour-bun"))
    text = file.read_text(encoding="utf-8")
    line = '{ ingredient = "cinnamon", percent = 11.0 }'
    assert text.count(line) == 1
    file.write_text(text.replace(line, blocks(START / "first-evening.md", "toml")[0].strip()), encoding="utf-8")
    (report,) = import_documents(ImportDocuments((tmp_path,))).files
    assert (report.saved.changed, report.saved.number) == (True, 2)
    filling = shelf().formula("harbour-bun").part("filling")
    assert [x.percent for x in filling.lines if x.ingredient == "cinnamon"] == [9.0]


def test_what_is_exported_comes_in_again(demo: Path, tmp_path: Path):
    """Round trip: everything exported, also a specification sheet, is read again and says nothing new."""
    own = OwnComposition(water_g=8.3, fat_g=6.7, salt_g=0.0)
    sheet = IngredientList(ingredients=(Ingredient(id="cardamom-own", like="cardamom", composition=own),))
    (tmp_path / "sheet.toml").write_text(sheet.to_toml(), encoding="utf-8")
    assert import_documents(ImportDocuments((tmp_path / "sheet.toml",))).files[0].saved.changed
    export_documents(ExportDocuments(tmp_path / "all"))
    report = import_documents(ImportDocuments((tmp_path / "all",)))
    assert not report.refused
    assert not [file.source for file in report.files if file.saved.changed]
