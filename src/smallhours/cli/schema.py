"""The ``schema`` command: JSON Schemas of the documents people write and of every ``--json`` answer."""

from __future__ import annotations

import json
from typing import Annotated

import typer
from pydantic import BaseModel

from smallhours.bakery.document import Document
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.shift.happened import Happened
from smallhours.bakery.shift.variation import Variation
from smallhours.cli import replies
from smallhours.cli.days_replies import PlanDaysReply
from smallhours.cli.odds_replies import OddsReply
from smallhours.cli.people_replies import BackupReply, PeopleReply, RestoreReply, TabletsReply
from smallhours.cli.what_if_replies import CureReply, FitsReply, HeadroomReply, WhatIfReply
from smallhours.errors import NotFound
from smallhours.planning.days.document import Ahead
from smallhours.planning.plan import Plan

DOCUMENTS: dict[str, type[Document]] = {
    "formula": Formula,
    "kitchen": Kitchen,
    "orders": OrderBook,
    "ingredients": IngredientList,
    "happened": Happened,
    "variation": Variation,
}
ANSWERS: dict[str, type[BaseModel]] = {
    "plan": Plan,
    "plan-days": PlanDaysReply,
    "ahead": Ahead,
    "odds": OddsReply,
    "what-if": WhatIfReply,
    "cure": CureReply,
    "headroom": HeadroomReply,
    "fits": FitsReply,
    "people": PeopleReply,
    "tablets": TabletsReply,
    "backup": BackupReply,
    "restore": RestoreReply,
    **replies.BY_NAME,
}


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("schema")(schema)


def schema(
    name: Annotated[str | None, typer.Argument(help="A document or an answer; none: list them.")] = None,
) -> None:
    """Print a JSON Schema: of a document that people write, or of a command's --json answer."""
    if name is None:
        typer.echo("documents (TOML or JSON):  " + " ".join(DOCUMENTS))
        typer.echo("answers (--json):          " + " ".join(f"{n}-answer" for n in ANSWERS))
        return
    typer.echo(json.dumps(schema_of(name), indent=2, ensure_ascii=False))


def schema_of(name: str) -> dict[str, object]:
    """The JSON Schema of that name. Raises NotFound."""
    if name in DOCUMENTS:
        return DOCUMENTS[name].json_schema()
    answer = ANSWERS.get(name.removesuffix("-answer"))
    if answer is None or not name.endswith("-answer"):
        known = ", ".join([*DOCUMENTS, *(f"{n}-answer" for n in ANSWERS)])
        raise NotFound(f"there is no schema {name!r}; there are: {known}")
    return answer.model_json_schema(mode="serialization")
