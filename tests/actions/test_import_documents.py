"""Imports: all or none, or only what is good; what goes out comes in again."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

import pytest

from smallhours.actions.check_documents import CheckDocuments, check_documents
from smallhours.actions.export_documents import ExportDocuments, export_documents
from smallhours.actions.import_documents import ImportDocuments, ImportReport, import_documents
from smallhours.actions.shelf import shelf
from smallhours.errors import BadInput, NotFound
from smallhours.records import queries


def _import(*paths: Path, only_good: bool = False) -> ImportReport:
    return import_documents(ImportDocuments(paths, only_good))


def test_a_folder_of_documents_comes_in_whole(bakery: Path) -> None:
    """Behaviour: formulas, kitchen, orders and ingredients of one folder, in any order, with a line of the log each."""
    assert queries.formula_slugs() == ["hearth-loaf", "hearth-roll"]
    assert queries.kept_kitchen().document.id == "corner-bakery"
    assert len(queries.order_book().standing) == 2
    assert queries.ingredient_numbers() == {"mill-white": 1}
    assert sorted(line.kind for line in queries.log_lines()) == [
        "formula", "formula", "ingredients", "kitchen", "orders",
    ]  # fmt: skip


def test_what_goes_out_comes_in_again(bakery: Path, tmp_path: Path) -> None:
    """Round trip: all documents written as TOML and imported say nothing new, and the store is as it was."""
    before = shelf()
    written = export_documents(ExportDocuments(tmp_path / "out"))
    assert {path.name for path in written} == {
        "hearth-loaf.toml", "hearth-roll.toml", "corner-bakery.toml", "ingredients.toml", "orders.toml",
    }  # fmt: skip
    report = _import(tmp_path / "out")
    assert not report.refused
    assert [file.saved.changed for file in report.files if file.saved] == [False] * 5
    assert shelf() == before


def test_one_document_goes_out(bakery: Path, tmp_path: Path) -> None:
    """Behaviour: by id or kind; a file that is there stays unless asked; an unknown name is said with near ones."""
    for name, file in (
        ("hearth-roll", "formulas/hearth-roll.toml"),
        ("kitchen", "kitchens/corner-bakery.toml"),
        ("orders", "orders.toml"),
    ):
        assert export_documents(ExportDocuments(tmp_path / "out", name)) == (tmp_path / "out" / file,)
    with pytest.raises(BadInput, match="already there"):
        export_documents(ExportDocuments(tmp_path / "out", "orders"))
    export_documents(ExportDocuments(tmp_path / "out", "orders", overwrite=True))
    with pytest.raises(NotFound, match="did you mean 'hearth-roll'"):
        export_documents(ExportDocuments(tmp_path / "out", "hearth-rol"))


def test_one_bad_file_refuses_all(home: Path, files: Path) -> None:
    """Bad input: a TOML with a syntax error is named with line and column, and nothing at all is written."""
    (files / "formulas" / "broken.toml").write_text('id = "broken"\nname = \n')
    report = _import(files)
    assert report.refused
    (bad,) = [file for file in report.files if file.bad]
    assert "line 2, column 8" in str(bad.faults[0])
    assert queries.is_empty()
    assert queries.log_lines() == []


def test_only_the_good_ones_on_request(home: Path, files: Path) -> None:
    """Behaviour: without its base a product cannot stand, so it is left out with it, as are orders that name them."""
    loaf = files / "formulas" / "hearth-loaf.toml"
    loaf.write_text(loaf.read_text().replace('"water"', '"watre"'))
    report = _import(files, only_good=True)
    assert not report.refused
    bad = {Path(file.source).name: str(file.faults[0]) for file in report.files if file.bad}
    assert set(bad) == {"hearth-loaf.toml", "hearth-roll.toml", "orders.toml"}
    assert "did you mean 'water'" in bad["hearth-loaf.toml"]
    assert queries.formula_slugs() == []
    assert queries.kept_kitchen().document.id == "corner-bakery"


def test_a_table_of_orders_all_or_only_the_good_rows(bakery: Path, tmp_path: Path) -> None:
    """Bad input: one bad row refuses the table; on request the good rows go in; products go by name or id."""
    table = tmp_path / "pedidos.csv"
    table.write_bytes(
        "cliente;producto;cantidad;fecha;hora\nÑandú;Hearth roll;30;16/01/2026;8:00\nÑandú;nothing;3;16/01/2026;8:00\n"
        .encode("cp1252")
    )  # fmt: skip
    refused = _import(table)
    assert refused.refused
    assert [row.number for row in refused.files[0].table.bad_rows] == [3]  # type: ignore[union-attr]
    assert len(queries.order_book().single) == 1
    assert not _import(table, only_good=True).refused
    day = queries.order_book().on(dt.date(2026, 1, 16))
    assert ("Ñandú", "hearth-roll", 30) in [(o.customer, o.product, o.pieces) for o in day]


def test_a_table_may_name_what_comes_in_with_it(home: Path, files: Path) -> None:
    """Behaviour: orders and prices in tables beside the formulas and ingredients they name, in one import."""
    (files / "a-prices.csv").write_text("ingredient,pack,price,currency\nWhite flour of the mill,25 kg,17.20,EUR\n")
    (files / "b-orders.csv").write_text("customer,product,pieces,days,due\nKiosk,Hearth loaf,4,sat-sun,08:00\n")
    assert not _import(files).refused
    assert "Kiosk" in {order.customer for order in queries.order_book().standing}
    assert {str(price.price) for price in queries.ingredient_list().prices} == {"17.2000"}


def test_paths_that_hold_nothing_to_read(home: Path, tmp_path: Path) -> None:
    """Bad input: no such file, an empty folder, a picture, a document of no known kind, JSON with a slip."""
    (tmp_path / "empty").mkdir()
    (tmp_path / "a.png").write_bytes(b"\x89PNG")
    for path, words in ((tmp_path / "no", "no such"), (tmp_path / "empty", "holds no"), (tmp_path / "a.png", "ending")):
        with pytest.raises(BadInput, match=words):
            _import(path)
    odd, slip = tmp_path / "odd.toml", tmp_path / "slip.json"
    odd.write_text('colour = "brown"\n')
    slip.write_text('{"id": "x",}')
    report = _import(odd, slip)
    said = [str(file.faults[0]) for file in report.files]
    assert "found at its top: colour" in said[0]
    assert "line 1, column" in said[1]


def test_json_reads_like_toml(bakery: Path, tmp_path: Path) -> None:
    """Round trip: the JSON form of a kept formula comes in as nothing new."""
    import json

    file = tmp_path / "loaf.json"
    file.write_text(json.dumps(queries.kept_formula("hearth-loaf").document.to_json_data()))
    report = _import(file)
    assert report.files[0].saved is not None
    assert not report.files[0].saved.changed


def test_checking_writes_nothing(bakery: Path, tmp_path: Path) -> None:
    """Behaviour: files and the store are checked with the same rules as a save, and the log stays as it was."""
    before = len(queries.log_lines())
    assert not check_documents().bad
    bad = tmp_path / "bad.toml"
    bad.write_text('id = "x"\nname = "X"\nbase = "nothing"\n')
    report = check_documents(CheckDocuments((bad,)))
    assert report.bad
    assert "no formula 'nothing'" in str(report.documents[0].faults[0])
    assert len(queries.log_lines()) == before
