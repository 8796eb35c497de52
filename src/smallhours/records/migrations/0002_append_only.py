"""What has been written stays: revisions and log lines cannot be changed or deleted, in the database itself.

SQLite drops a table's triggers when a later migration rebuilds the table: such a migration has to make them again
(a test looks for every one of them in a finished store).
"""

from django.db import migrations

KEPT = {
    "records_formularevision": "a revision of a formula",
    "records_kitchenrevision": "a revision of a kitchen",
    "records_ingredientrevision": "a revision of an ingredient",
    "records_logline": "a line of the log",
}


def _refuse(table: str, event: str, sentence: str, condition: str = "") -> migrations.RunSQL:
    name = f"{table}_no_{event.split()[0].lower()}"
    return migrations.RunSQL(
        f"CREATE TRIGGER {name} BEFORE {event} ON {table} {condition} BEGIN SELECT RAISE(ABORT, '{sentence}'); END;",
        f"DROP TRIGGER {name};",
    )


class Migration(migrations.Migration):
    dependencies = [("records", "0001_tables")]

    operations = [
        *(_refuse(table, "UPDATE", f"{what} is never changed; write a new one") for table, what in KEPT.items()),
        *(_refuse(table, "DELETE", f"{what} is never deleted") for table, what in KEPT.items()),
        _refuse(
            "records_planrecord",
            "UPDATE OF id, night, body, made_at, made_from, author",
            "a plan is never changed; make a new one",
        ),
        _refuse("records_planrecord", "DELETE", "a published plan is never deleted", "WHEN OLD.published"),
    ]
