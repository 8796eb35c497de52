"""A plan with a sponge, a night in the fridge, tins, two set temperatures, a pause and two people, to be spoilt."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from planning.shift.small_bakery import MIDNIGHT, NIGHT, formula, kitchen, minutes, order, person, planned, stages
from planning.shift.test_small_nights import FRIDGE, OVERNIGHT, with_sponge
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.pantry import Pantry
from smallhours.errors import DocumentError
from smallhours.planning.check.case import Documents
from smallhours.planning.check.reading import read_plan
from smallhours.planning.check.whole import violations

_REST = [{"earliest": "04:30:00", "latest": "06:00:00", "duration_s": 1200.0}]
KITCHEN = kitchen(
    cold=FRIDGE,
    people=[
        person("ana", hours=[{"start": "14:00:00", "end": "21:00:00"}, {"start": "03:00:00", "end": "11:00:00"}],
               breaks=_REST),
        person("ben", "04:00:00", "11:00:00"),
    ],
)  # fmt: skip
FORMULAS = (
    formula(pan="tin", chain=stages(("proof", OVERNIGHT))),
    formula("hearth", **with_sponge(3600.0)),
    formula("crust", stages(("bake", {"set_temp_c": 250.0}))),
)
ORDERS = (
    order("05:30", 4),
    order("09:30", 2, "hearth"),
    order("09:00", 3, "crust"),
    order("09:30", 1, "hearth", customer="Van"),
)
DOCUMENTS = Documents(KITCHEN, {each.id: each for each in FORMULAS}, OrderBook(single=ORDERS), Pantry())


def _bread(name: str, extra: str | None, *free_from: str) -> Formula:
    lines = [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 65.0}]
    lines += [{"ingredient": extra, "percent": 20.0}] if extra else []
    return formula(name, parts=[{"id": "dough", "name": name, "lines": lines}], free_from=free_from)


CLEANED_KITCHEN = kitchen(benches=[{"id": "bench", "name": "Bench", "places": 2, "clean_s": 600.0}])
CLEANED_FORMULAS = (_bread("nutty", "almonds"), _bread("plain", None, "nuts"))
CLEANED_ORDERS = (order("03:20", product="nutty"), order("08:00", product="plain"))
CLEANED_DOCUMENTS = Documents(
    CLEANED_KITCHEN, {each.id: each for each in CLEANED_FORMULAS}, OrderBook(single=CLEANED_ORDERS), Pantry()
)


@cache
def _cleaned() -> str:
    return planned(CLEANED_FORMULAS, CLEANED_ORDERS, CLEANED_KITCHEN).model_dump_json()


def cleaned_plan() -> dict[str, Any]:
    """A plan in which mixer and bench are cleaned of nuts for a bread that has to be free from them."""
    found: dict[str, Any] = json.loads(_cleaned())
    return found


@cache
def good() -> str:
    """The good plan, as JSON text."""
    assert ORDERS[0].date == NIGHT
    return planned(FORMULAS, ORDERS, KITCHEN, start=MIDNIGHT - minutes(12 * 60)).model_dump_json()


def plan() -> dict[str, Any]:
    """The good plan as plain data, to be spoilt."""
    found: dict[str, Any] = json.loads(good())
    for course in found["courses"]:  # hundreds of points say no more than three
        del course["points"][3:]
    return found


def found_in(plan: dict[str, Any], documents: Documents = DOCUMENTS) -> list[str]:
    """What is wrong with a spoilt plan; one sentence of kind ``document`` if it cannot be read at all."""
    try:
        read = read_plan(json.dumps(plan).encode(), "plan")
    except DocumentError as error:
        return [f"document: {error}"]
    return [str(violation) for violation in violations(read, documents)]
