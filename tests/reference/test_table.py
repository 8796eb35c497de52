"""Reading tables: every table passes its proof-reading, and each kind of slip is caught."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from smallhours.errors import DocumentError, NotFound
from smallhours.reference.table import TABLES, Source, read_sources, read_table, sources, table, table_names

SIDE_CAR = """
title = "Specific heat"
key = ["name"]
group = "kind"
licence = "Facts"
source = "book"

[column.name]
type = "slug"

[column.kind]
type = "word"
one_of = ["fat", "flour"]

[column.heat]
unit = "J/(g K)"
empty = "not published"
plausible = { fat = [1.5, 3], flour = [1.5, 2.2] }

[column.part]
unit = "J/(g K)"
empty = "not published"
at_most = "heat"
slack = 0.1
plausible = [0, 5]

[column.allergens]
type = "words"
one_of = ["milk", "wheat"]
empty = "none"

[column.sifted]
type = "flag"

[column.number]
type = "code"
pattern = "[0-9]{3}"

[column.source]
type = "source"

[[sum]]
name = "heat and part"
columns = ["heat", "part"]
plausible = [2, 5]
except = { odd = [0, 2] }
"""
HEADER = "name,kind,heat,part,allergens,sifted,number,source\n"
GOOD = "butter,fat,2.2,1.0,milk,no,123,book\n"
KNOWN = {"book": Source("book", "A book", "page 1", "read")}


def read(folder: Path, rows: str, side_car: str = SIDE_CAR, header: str = HEADER):
    """A table from text."""
    (folder / "heat.toml").write_text(side_car, encoding="utf-8")
    (folder / "heat.csv").write_text(header + rows, encoding="utf-8")
    return read_table(folder / "heat.csv", KNOWN)


@pytest.mark.parametrize("name", table_names())
def test_every_table_is_proof_read(name):
    """Behaviour: each shipped table has units, ranges and known sources, and every cell of it is plausible."""
    found = table(name)
    assert found.rows
    assert all(
        c.source in sources() or any(x.type == "source" for x in found.columns.values()) for c in found.columns.values()
    )


@pytest.mark.parametrize("name", table_names())
def test_keys_of_other_tables_exist(name):
    """Behaviour: a key that refers to another table is in it."""
    for column in table(name).columns.values():
        if column.refers_to:
            known = {row["key"] for row in table(column.refers_to).rows}
            assert {row[column.name] for row in table(name).rows} <= known


def test_every_source_is_used():
    """Behaviour: no source is left over."""
    cited = {c.source for name in table_names() for c in table(name).columns.values()}
    cited |= {str(row["source"]) for name in table_names() for row in table(name).rows if "source" in row}
    assert set(sources()) == cited - {""}


def test_a_good_table(tmp_path):
    """Behaviour: numbers, flags, words and codes come out as what they are; an empty number is unknown, not zero."""
    row = read(tmp_path, "butter,fat,2.2,,milk;wheat,yes,123,book\n").row("butter")
    assert row["heat"] == 2.2
    assert row["part"] is None
    assert row["allergens"] == ("milk", "wheat")
    assert row["sifted"] is True
    assert row["number"] == "123"


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("butter,fat,22,1.0,milk,no,123,book", "line 2, column heat: found 22, expected 1.5 to 3 J/(g K) for fat"),
        ("flour,flour,2.5,1.0,,no,123,book", "line 2, column heat: found 2.5, expected 1.5 to 2.2 J/(g K) for flour"),
        ("butter,fat,nan,1.0,milk,no,123,book", "column heat: found nan"),
        ("butter,fat,warm,1.0,milk,no,123,book", "column heat: found 'warm', expected a number in J/(g K)"),
        ("butter,fat,2.2,2.4,milk,no,123,book", "column part: found 2.4, more than heat 2.2"),
        ("butter,fat,1.6,0.1,milk,no,123,book", "columns heat, part: add up to 1.7, expected 2 to 5"),
        ("butter,gas,2.2,1.0,milk,no,123,book", "column kind: found 'gas', expected one of fat, flour"),
        ("butter,fat,2.2,1.0,mlik,no,123,book", "column allergens: found mlik"),
        ("butter,fat,2.2,1.0,milk,perhaps,123,book", "column sifted: found 'perhaps', expected yes or no"),
        ("butter,fat,2.2,1.0,milk,no,12,book", "column number: found '12'"),
        ("butter,fat,2.2,1.0,milk,no,123,hearsay", "column source: source 'hearsay' is not in sources.toml"),
        ("Butter!,fat,2.2,1.0,milk,no,123,book", "column name: found 'Butter!'"),
        (",fat,2.2,1.0,milk,no,123,book", "column name: is empty"),
        ("butter,fat,2.2,1.0,milk,no,123", "line 2: has 7 cells, expected 8"),
        (GOOD + GOOD.strip(), "line 3: 'butter' is already in line 2"),
    ],
)
def test_slips_are_caught(tmp_path, row, said):
    """Bad input: a shifted decimal, a wrong word, an unknown source and other slips name line, column and value."""
    with pytest.raises(DocumentError) as caught:
        read(tmp_path, row + "\n")
    assert said in str(caught.value)
    assert str(caught.value).startswith("heat.csv: ")


def test_a_row_with_its_own_sum(tmp_path):
    """Behaviour: a named exception to a sum holds for its row only."""
    assert read(tmp_path, "odd,fat,1.6,0.1,milk,no,123,book\n").row("odd")["heat"] == 1.6


def test_all_slips_at_once(tmp_path):
    """Bad input: three slips in two rows are reported together."""
    with pytest.raises(DocumentError) as caught:
        read(tmp_path, "butter,fat,22,1.0,milk,maybe,123,book\nflour,flour,19,1.0,,no,123,book\n")
    assert len(caught.value.faults) >= 3


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('unit = "J/(g K)"\nempty = "not published"\nplausible = { fat', "plausible = { fat", "a number needs a unit"),
        ('source = "book"', 'source = "hearsay"', "source 'hearsay' is not in sources.toml"),
        ('title = "Specific heat"\n', "", "does not say its title"),
        ('type = "flag"', 'type = "bool"', "type is 'bool'"),
        ('key = ["name"]', 'key = ["id"]', "key column 'id' is not described"),
    ],
)
def test_slips_of_the_side_car(tmp_path, old, new, said):
    """Bad input: a side-car without unit, title or known source is refused too."""
    with pytest.raises(DocumentError) as caught:
        read(tmp_path, GOOD, SIDE_CAR.replace(old, new))
    assert said in str(caught.value)


def test_columns_must_be_described(tmp_path):
    """Bad input: a column that the side-car does not know."""
    with pytest.raises(DocumentError, match="side-car describes"):
        read(tmp_path, GOOD, header=HEADER.replace("heat", "warmth"))


def test_sources_need_a_place(tmp_path):
    """Bad input: a source without place or of an unknown kind."""
    (tmp_path / "sources.toml").write_text('[hearsay]\ntitle = "Somebody said"\nkind = "rumour"\n', encoding="utf-8")
    with pytest.raises(DocumentError) as caught:
        read_sources(tmp_path / "sources.toml")
    assert "needs a title and a place" in str(caught.value)
    assert "'rumour'" in str(caught.value)


def test_a_table_that_is_not_there():
    """Bad input: an unknown table and an unknown row say what there is."""
    with pytest.raises(NotFound, match="ingredients"):
        table("moods")
    with pytest.raises(NotFound, match="yeast-fresh"):
        table("yeast_forms").row("yeast-wild")


@pytest.mark.parametrize("column", ["water_g", "protein_g", "fat_g", "carbohydrate_g", "ash_g", "alcohol_g"])
def test_a_shifted_decimal_in_the_ingredients(tmp_path, column):
    """Bad input: ten times any main figure above 0.25 g, in any ingredient, is caught by its range or the row's sum."""
    with (TABLES / "ingredients.csv").open(encoding="utf-8", newline="") as file:
        header, *rows = csv.reader(file)
    place = header.index(column)
    shifted = {}
    for line, row in enumerate(rows, 2):
        if row[place] and float(row[place]) > 0.25:
            row[place] = str(round(float(row[place]) * 10, 6))
            shifted[line] = row[0]
    with (tmp_path / "ingredients.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([header, *rows])
    (tmp_path / "ingredients.toml").write_bytes((TABLES / "ingredients.toml").read_bytes())
    with pytest.raises(DocumentError) as caught:
        read_table(tmp_path / "ingredients.csv", sources())
    reported = {int(fault.where.split(",")[0].removeprefix("line ")) for fault in caught.value.faults}
    assert shifted
    assert reported == set(shifted)
