"""What has been written stays: the database itself refuses."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from smallhours.records import keeping
from smallhours.records.models import (
    FormulaRevision,
    IngredientRevision,
    KitchenRevision,
    LogLine,
    PlanRecord,
)

AT = dt.datetime(2026, 1, 15, 3, 0, tzinfo=dt.UTC)
REVISIONS = (FormulaRevision, KitchenRevision, IngredientRevision)


def _filled() -> None:
    for table in REVISIONS:
        table.objects.create(slug="a", number=1, body={}, author="baker", at=AT)
    keeping.write_log(keeping.Done("save", "formula", "a", None, 1), keeping.Signature("baker", AT))


@pytest.mark.parametrize("table", [*REVISIONS, LogLine])
def test_rows_cannot_be_changed(home: Path, table: Any) -> None:
    """Behaviour: UPDATE of a revision or a log line is refused by the database, by model, query and plain SQL."""
    _filled()
    row = table.objects.get()
    row.author = "somebody"
    with pytest.raises(IntegrityError, match="is never changed"):
        row.save()
    with pytest.raises(IntegrityError, match="is never changed"):
        table.objects.update(author="somebody")
    with pytest.raises(IntegrityError, match="is never changed"), connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table._meta.db_table} SET author = 'somebody'")
    assert table.objects.get().author == "baker"


@pytest.mark.parametrize("table", [*REVISIONS, LogLine])
def test_rows_cannot_be_deleted_or_replaced(home: Path, table: Any) -> None:
    """Behaviour: DELETE and INSERT OR REPLACE are refused by the database."""
    _filled()
    with pytest.raises(IntegrityError, match="is never deleted"):
        table.objects.all().delete()
    names = [field.column for field in table._meta.fields]
    columns = ", ".join(f'"{name}"' for name in names)
    with pytest.raises(IntegrityError, match="is never deleted"), connection.cursor() as cursor:
        cursor.execute(
            f"INSERT OR REPLACE INTO {table._meta.db_table} ({columns}) SELECT {columns} FROM {table._meta.db_table}"
        )
    assert table.objects.count() == 1


def test_of_a_plan_only_the_published_flag_changes(home: Path) -> None:
    """Behaviour: a plan's body is fixed; it can be published; published it cannot be deleted, unpublished it can."""
    ids = [keeping.keep_plan(AT.date(), {"n": n}, AT, {}, "baker") for n in (1, 2)]
    with pytest.raises(IntegrityError, match="a plan is never changed"):
        PlanRecord.objects.filter(pk=ids[0]).update(body={})
    for plan_id in ids:
        with transaction.atomic():
            keeping.publish_plan(plan_id)
    assert list(PlanRecord.objects.order_by("id").values_list("published", flat=True)) == [False, True]
    with pytest.raises(IntegrityError, match="published plan is never deleted"):
        PlanRecord.objects.all().delete()
    PlanRecord.objects.filter(pk=ids[0]).delete()
    assert PlanRecord.objects.count() == 1


def test_every_trigger_is_in_a_finished_store(home: Path) -> None:
    """Behaviour: no later migration has lost one (SQLite drops triggers with a table that is rebuilt)."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT tbl_name FROM sqlite_master WHERE type = 'trigger' ORDER BY name")
        found = [row[0] for row in cursor.fetchall()]
    kept = [table._meta.db_table for table in (*REVISIONS, LogLine, PlanRecord)]
    assert sorted(found) == sorted(kept * 2)


def test_a_number_is_given_once(home: Path) -> None:
    """Behaviour: two revisions of one document cannot have the same number, nor one below 1."""
    _filled()
    with pytest.raises(IntegrityError, match="UNIQUE"):
        FormulaRevision.objects.create(slug="a", number=1, body={}, author="baker", at=AT)
    with pytest.raises(IntegrityError, match="CHECK"):
        FormulaRevision.objects.create(slug="a", number=0, body={}, author="baker", at=AT)


def test_the_models_and_the_migrations_agree(home: Path) -> None:
    """Behaviour: no model has changed without a migration."""
    from django.core.management import call_command

    call_command("makemigrations", "records", "--check", "--dry-run", verbosity=0)
