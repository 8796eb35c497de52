"""Do documents hold together with one another? Faults refuse a save; findings are said and logged."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.free_from import claim_faults
from smallhours.bakery.formula.join import joined
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput, DocumentError, Fault, NotFound


def formula_faults(formula: Formula, formulas: Mapping[str, Formula], pantry: Pantry) -> Iterator[Fault]:
    """What does not hold together once the formula meets its base and the pantry.

    ``formulas``: all of them as they would stand afterwards, this one included.
    """
    whole, holds = formula, False
    try:
        whole, holds = joined(formula, lambda slug: _found(slug, formulas)), True
    except NotFound as error:
        yield Fault("base", str(error))
    except DocumentError as error:
        yield from error.faults
    for part in whole.parts:
        for line in part.lines:
            if line.ingredient is not None:
                try:
                    pantry.find(line.ingredient)
                except (NotFound, BadInput) as error:
                    yield Fault(f"part {part.id!r}, {line.ingredient}", str(error))
    if holds:
        yield from _cannot_be_reckoned(whole, pantry)
        yield from _cannot_be_free_from(whole, pantry)
    for other in formulas.values():
        if other.base == formula.id and other.id != formula.id:
            try:
                joined(other, lambda slug: _found(slug, formulas))
            except DocumentError as error:
                for fault in error.faults:
                    yield Fault(f"formula {other.id!r}, which rests on this one", str(fault))


def _cannot_be_reckoned(whole: Formula, pantry: Pantry) -> Iterator[Fault]:
    """Percentages that stand on nothing, more in a preferment than there is in all, a part without a size."""
    try:
        unit_amounts(whole, pantry)
    except DocumentError as error:
        yield from error.faults
    except NotFound:
        return  # said line by line
    except BadInput as error:
        yield Fault("", str(error))


def _cannot_be_free_from(whole: Formula, pantry: Pantry) -> Iterator[Fault]:
    """What the formula says it is free from, but holds."""
    try:
        yield from claim_faults(whole, pantry)
    except (NotFound, BadInput):
        return  # said line by line


def formula_findings(formula: Formula, formulas: Mapping[str, Formula], pantry: Pantry) -> tuple[Finding, ...]:
    """What the audit and the trade's warnings say of a formula (with its base joined in)."""
    from smallhours.bakery.formula.audit import audit  # only saves and checks need them
    from smallhours.bakery.formula.warnings import warnings

    whole = joined(formula, lambda slug: _found(slug, formulas))
    return (*audit(whole, pantry), *warnings(whole, pantry))


def order_faults(book: OrderBook, formulas: Mapping[str, Formula], pantry: Pantry) -> Iterator[Fault]:
    """Orders for products nobody has a formula for, and those that want to be free from what is in the product."""
    orders: list[Order | StandingOrder] = [*book.standing, *book.single]
    for product in sorted(book.products()):
        if product not in formulas:
            customer = next(order.customer for order in orders if order.product == product)
            yield Fault(f"order of {customer!r}", _no_formula(product, formulas))
    for order in orders:
        if order.free_from and order.product in formulas:
            try:
                whole = joined(formulas[order.product], lambda slug: _found(slug, formulas))
                for fault in claim_faults(whole, pantry, order.free_from):
                    yield Fault(f"order of {order.customer!r} for {order.product!r}", fault.what)
            except (NotFound, BadInput, DocumentError):
                continue  # said of the formula itself


def ingredient_faults(documents: IngredientList, pantry: Pantry) -> Iterator[Fault]:
    """Prices and likenesses that name an ingredient which is not there; ``pantry`` as it would stand afterwards."""
    for number, price in enumerate(documents.prices, 1):
        try:
            pantry.find(price.ingredient)
        except NotFound as error:
            yield Fault(f"price {number}", str(error))
    for ingredient in documents.ingredients:
        yield from ingredient.faults()
        try:
            pantry.find(ingredient.id)
        except (NotFound, BadInput) as error:
            yield Fault(f"ingredient {ingredient.id!r}", str(error))


def kitchen_findings(kitchen: Kitchen, formulas: Mapping[str, Formula]) -> Iterator[Finding]:
    """Formulas whose pans or ovens this kitchen does not have or whose core it cannot reach; bowls said to take more
    than they hold; people with no hours."""
    from smallhours.bakery.orders.kitchen_fit import kitchen_fit, mixers_fit_their_bowls

    yield from mixers_fit_their_bowls(kitchen)
    for formula in formulas.values():
        try:
            whole = joined(formula, lambda slug: _found(slug, formulas))
        except (NotFound, DocumentError):
            continue  # said of the formula itself
        yield from kitchen_fit(whole, kitchen)
    for person in kitchen.people:
        if not person.hours:
            yield Finding(
                "people_have_hours",
                "warn",
                f"person {person.id!r}",
                f"{person.name} has no hours, so no work is planned for {person.name}",
            )


def _found(slug: str, formulas: Mapping[str, Formula]) -> Formula:
    if slug not in formulas:
        raise NotFound(_no_formula(slug, formulas))
    return formulas[slug]


def _no_formula(slug: str, formulas: Mapping[str, Formula]) -> str:
    near = difflib.get_close_matches(slug, formulas, n=3, cutoff=0.5)
    hint = "did you mean " + " or ".join(repr(name) for name in near) + "?" if near else "import it first"
    return f"there is no formula {slug!r}; {hint}"
