"""The writes: a new revision, an order book, prices, a plan, a line of the log. Actions call these in a transaction."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any, Literal

from smallhours.bakery.document import Document
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import Ingredient, Price
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.records.mapping import price_from, price_row, single_row, standing_row
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

_TABLES: dict[type[Document], Any] = {
    Formula: FormulaRevision,
    Kitchen: KitchenRevision,
    Ingredient: IngredientRevision,
}


@dataclass(frozen=True)
class Signature:
    """Who writes, when (aware), and why."""

    author: str
    at: dt.datetime
    reason: str = ""


@dataclass(frozen=True)
class Revised:
    """Which number a document has now and had before (None: it was not there); equal when nothing changed."""

    slug: str
    before: int | None
    number: int

    @property
    def changed(self) -> bool:
        """Whether a new revision was written."""
        return self.before != self.number


@dataclass(frozen=True)
class Done:
    """What a line of the log says."""

    verb: str
    kind: str
    slug: str = ""
    before: int | None = None
    after: int | None = None
    details: dict[str, Any] = field(default_factory=dict)


def keep(document: Formula | Kitchen | Ingredient, signature: Signature) -> Revised:
    """Write a new revision, unless the newest one says the same (and is the kitchen that was written last)."""
    table = _TABLES[type(document)]
    body = document.to_json_data()
    last = table.objects.filter(slug=document.id).order_by("number").last()
    if last is not None and last.body == body and not _is_former_kitchen(last):
        return Revised(document.id, last.number, last.number)
    number = 1 if last is None else last.number + 1
    table.objects.create(
        slug=document.id,
        number=number,
        body=body,
        author=signature.author,
        at=signature.at,
        reason=signature.reason,
    )
    return Revised(document.id, None if last is None else last.number, number)


def _is_former_kitchen(row: Any) -> bool:
    """Whether another kitchen was written since: the newest kitchen is the one that plans are made for."""
    return isinstance(row, KitchenRevision) and KitchenRevision.objects.filter(id__gt=row.id).exists()


def add_prices(prices: Iterable[Price]) -> int:
    """Add prices; one for the same ingredient, supplier, day and pack takes the place of the former. Counts changes."""
    changed = 0
    for price in prices:
        same = PriceRow.objects.filter(
            ingredient=price.ingredient,
            supplier=price.supplier,
            valid_from=price.valid_from,
            pack_mass_g=price.pack_mass_g,
        )
        if any(price_from(row) == price for row in same):
            continue
        same.delete()
        price_row(price).save()
        changed += 1
    return changed


def keep_orders(book: OrderBook, mode: Literal["add", "replace"]) -> None:
    """Write orders. ``replace``: the book is all there is. ``add``: to what is there; an order for the same customer,
    product and due time on the same day (or the same weekdays) takes the place of the former."""
    if mode == "replace":
        for table in (StandingRow, SingleRow, ClosedDay):
            table.objects.all().delete()
    else:
        for order in book.single:
            SingleRow.objects.filter(
                customer=order.customer, product=order.product, date=order.date, due=order.due
            ).delete()
        for standing in book.standing:
            for row in StandingRow.objects.filter(
                customer=standing.customer, product=standing.product, due=standing.due
            ):
                if set(row.days) == set(standing.days):
                    row.delete()
    StandingRow.objects.bulk_create([standing_row(order) for order in book.standing])
    SingleRow.objects.bulk_create([single_row(order) for order in book.single])
    ClosedDay.objects.bulk_create([ClosedDay(date=date) for date in sorted(set(book.closed))], ignore_conflicts=True)


def keep_plan(
    night: dt.date, body: dict[str, Any], made_at: dt.datetime, made_from: dict[str, Any], author: str
) -> int:
    """Write a plan; returns its id."""
    row = PlanRecord.objects.create(night=night, body=body, made_at=made_at, made_from=made_from, author=author)
    return int(row.pk)


def publish_plan(plan_id: int) -> None:
    """Make a plan the one its night follows; another published one of that night steps back."""
    night = PlanRecord.objects.values_list("night", flat=True).get(pk=plan_id)
    PlanRecord.objects.filter(night=night, published=True).exclude(pk=plan_id).update(published=False)
    PlanRecord.objects.filter(pk=plan_id).update(published=True)


def write_log(done: Done, signature: Signature) -> None:
    """Add a line to the log."""
    LogLine.objects.create(
        at=signature.at,
        author=signature.author,
        reason=signature.reason,
        verb=done.verb,
        kind=done.kind,
        slug=done.slug,
        before=done.before,
        after=done.after,
        details=done.details,
    )
