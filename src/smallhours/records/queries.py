"""The reads that actions and pages need, by name."""

from __future__ import annotations

import datetime as dt
import difflib
from dataclasses import dataclass
from typing import Any

from django.db.models import Max, Model

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.errors import NotFound
from smallhours.records.mapping import (
    Kept,
    formula_from,
    ingredient_list_from,
    kitchen_from,
    order_book_from,
)
from smallhours.records.models import (
    ClosedDay,
    FormulaRevision,
    IngredientRevision,
    KitchenRevision,
    LogLine,
    PlanRecord,
    PriceRow,
    SingleRow,
    StandingRow,
)


@dataclass(frozen=True)
class KeptPlan:
    """A plan as it is kept; ``body`` is its JSON form (the planner's own schema)."""

    id: int
    night: dt.date
    made_at: dt.datetime
    author: str
    published: bool
    made_from: dict[str, Any]
    body: dict[str, Any]


@dataclass(frozen=True)
class LoggedLine:
    """One line of the log."""

    at: dt.datetime
    author: str
    verb: str
    kind: str
    slug: str
    before: int | None
    after: int | None
    reason: str
    details: dict[str, Any]


def is_empty() -> bool:
    """Whether nobody has written a formula, kitchen, ingredient or order yet."""
    tables: tuple[type[Model], ...] = (FormulaRevision, KitchenRevision, IngredientRevision, StandingRow, SingleRow)
    return not any(table.objects.exists() for table in tables)


def kept_formulas() -> dict[str, Kept[Formula]]:
    """The newest revision of every formula, by id, in the order of their ids."""
    return {row.slug: formula_from(row) for row in _newest(FormulaRevision)}


def kept_formula(slug: str, number: int | None = None) -> Kept[Formula]:
    """One formula: its newest revision, or the one of that number. Raises NotFound (with near spellings)."""
    rows = FormulaRevision.objects.filter(slug=slug)
    row = (rows if number is None else rows.filter(number=number)).order_by("number").last()
    if row is None:
        what = f"formula {slug!r}" if number is None else f"revision {number} of formula {slug!r}"
        raise NotFound(f"there is no {what}; {_near(slug, formula_slugs())}")
    return formula_from(row)


def formula_slugs() -> list[str]:
    """The ids of all formulas."""
    return sorted(FormulaRevision.objects.order_by().values_list("slug", flat=True).distinct())


def formula_names() -> dict[str, str]:
    """The name of every formula's newest revision, by id, without reading the formulas themselves."""
    return dict(_newest(FormulaRevision).values_list("slug", "body__name"))


def formula_history(slug: str) -> list[Kept[Formula]]:
    """All revisions of a formula, newest first."""
    return [formula_from(row) for row in FormulaRevision.objects.filter(slug=slug).order_by("-number")]


def kept_kitchen(slug: str | None = None, number: int | None = None) -> Kept[Kitchen]:
    """The kitchen that was written last, or the one named. Raises NotFound."""
    rows = KitchenRevision.objects.all()
    if slug is not None:
        rows = rows.filter(slug=slug)
    if number is not None:
        rows = rows.filter(number=number)
    row = rows.order_by("id").last()
    if row is None:
        named = "" if slug is None else f" {slug!r}" + ("" if number is None else f", revision {number}")
        raise NotFound(f"there is no kitchen{named} in this store yet; import one, or load the demo bakery")
    return kitchen_from(row)


def kitchen_slugs() -> list[str]:
    """The ids of all kitchens."""
    return sorted(KitchenRevision.objects.order_by().values_list("slug", flat=True).distinct())


def ingredient_list(numbers: dict[str, int] | None = None) -> IngredientList:
    """The bakery's own ingredients (newest, or those of the given revision numbers) and all prices."""
    if numbers is None:
        rows = list(_newest(IngredientRevision))
    else:
        every = IngredientRevision.objects.filter(slug__in=list(numbers))
        rows = [row for row in every if row.number == numbers[row.slug]]
    return ingredient_list_from(rows, PriceRow.objects.all())


def ingredient_numbers() -> dict[str, int]:
    """The newest revision number of every own ingredient."""
    return {row.slug: row.number for row in _newest(IngredientRevision)}


def order_book() -> OrderBook:
    """All orders."""
    return order_book_from(StandingRow.objects.all(), SingleRow.objects.all(), ClosedDay.objects.all())


def kept_plan(night: dt.date | None = None, plan_id: int | None = None) -> KeptPlan:
    """A plan: that of an id; else the newest of a night (the published one first); else the newest of all.

    Raises NotFound.
    """
    rows = PlanRecord.objects.all()
    if plan_id is not None:
        row = rows.filter(pk=plan_id).first()
    elif night is not None:
        row = rows.filter(night=night).order_by("published", "id").last()
    else:
        row = rows.order_by("id").last()
    if row is None:
        which = f" {plan_id}" if plan_id is not None else f" for the night to {night}" if night else ""
        raise NotFound(f"there is no plan{which} yet; make one with the command plan")
    return KeptPlan(row.pk, row.night, row.made_at, row.author, row.published, row.made_from, row.body)


def plan_nights() -> list[dt.date]:
    """The nights for which there is a plan, newest first."""
    return list(PlanRecord.objects.order_by("-night").values_list("night", flat=True).distinct())


def last_planned(until: dt.date, most_nights: int = 60) -> dict[str, dt.date]:
    """The last night up to a day whose plan (the published one, else the newest) bakes a product, by its id.

    Looks at so many nights that have plans.
    """
    chosen: dict[dt.date, int] = {}
    rows = PlanRecord.objects.filter(night__lte=until).order_by("-night", "-published", "-id")
    for night, plan_id in rows.values_list("night", "id").iterator():
        if night not in chosen and len(chosen) == most_nights:
            break
        chosen.setdefault(night, plan_id)
    last: dict[str, dt.date] = {}
    found = PlanRecord.objects.filter(id__in=chosen.values()).order_by("night")
    for night, orders in found.values_list("night", "body__orders"):
        last |= {order["product"]: night for order in orders or () if order.get("ready") is not None}
    return last


def log_lines(
    most: int = 100, kind: str | None = None, slug: str | None = None, author: str | None = None, skip: int = 0
) -> list[LoggedLine]:
    """The last lines of the log, newest first, after so many that are skipped."""
    rows = _log(kind, slug, author).order_by("-id")
    return [
        LoggedLine(r.at, r.author, r.verb, r.kind, r.slug, r.before, r.after, r.reason, r.details)
        for r in rows[skip : skip + most]
    ]


def log_length(author: str | None = None, kind: str | None = None) -> int:
    """How many lines the log has, of an author, about a kind of thing."""
    return int(_log(kind, None, author).count())


def log_authors() -> list[str]:
    """Everybody who has written a line of the log."""
    return sorted(LogLine.objects.order_by().values_list("author", flat=True).distinct())


def log_kinds() -> list[str]:
    """Every kind of thing the log speaks of."""
    return sorted(LogLine.objects.order_by().values_list("kind", flat=True).distinct())


def _log(kind: str | None, slug: str | None, author: str | None) -> Any:
    asked = {"kind": kind, "slug": slug, "author": author}
    return LogLine.objects.filter(**{field: value for field, value in asked.items() if value is not None})


def _newest(table: Any) -> Any:
    """The rows with the highest number of each slug."""
    top = table.objects.order_by().values("slug").annotate(top=Max("id")).values("top")
    return table.objects.filter(id__in=top).order_by("slug")


def _near(slug: str, known: list[str]) -> str:
    near = difflib.get_close_matches(slug, known, n=3, cutoff=0.5)
    if near:
        return "did you mean " + " or ".join(repr(name) for name in near) + "?"
    return "there are: " + ", ".join(known) if known else "there are none yet"
