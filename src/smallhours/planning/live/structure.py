"""Which batches and lots the night consists of, after what was lost and what was ordered since it was planned.

Everything follows from the first orders and what happened, so that the same words give the same ids every time. What is
made anew or came later gets batches of its own, marked with ``+`` and a number: doughs that are already mixed do not
grow.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch, BatchPlan, batches
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.lots import LotNeed
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.shift.happened import Extra, Happened, Lost
from smallhours.errors import BadInput


@dataclass(frozen=True)
class Structure:
    """The batches still to be followed, those that are lost, and all orders (the first ones, then later ones).

    ``lost``: ids of batches and lots that are gone.
    """

    made: BatchPlan
    orders: tuple[Order, ...]
    lost: frozenset[str]


@dataclass
class _Maker:
    formulas: Mapping[str, Formula]
    kitchen: Kitchen
    pantry: Pantry
    orders: list[Order]
    made: list[Batch]
    gone: set[str]

    def batches(self, orders: Sequence[tuple[int, Order]], suffix: str) -> None:
        """Add batches for orders with their places in the list of all."""
        made = batches([order for _, order in orders], self.formulas, self.kitchen, self.pantry)
        places = [place for place, _ in orders]
        self.made += [renamed(batch, suffix, places) for batch in made.batches]


def structure(
    orders: Sequence[Order], happened: Happened, formulas: Mapping[str, Formula], kitchen: Kitchen, pantry: Pantry
) -> Structure:
    """The night's batches. ``orders``: those it was first planned for.

    Raises: BadInput for a lost batch or lot that the night does not have; what ``batches`` raises for new orders.
    """
    first = batches(orders, formulas, kitchen, pantry)
    maker = _Maker(formulas, kitchen, pantry, list(orders), list(first.batches), set())
    later: list[Extra | Lost] = sorted((*happened.orders, *happened.lost), key=_when)
    for number, (_, group) in enumerate(groupby(later, key=_when), 1):
        told = list(group)
        wanted: list[tuple[int, Order]] = []
        for extra in (each for each in told if isinstance(each, Extra)):
            order = Order(**extra.model_dump(exclude={"at"}))
            wanted.append((len(maker.orders), order))
            maker.orders.append(order)
        for lost in (each for each in told if isinstance(each, Lost)):
            wanted += _lose(maker, lost, f"+{number}")
        if wanted:
            maker.batches(_summed(wanted), f"+{number}")
    return Structure(replace(first, batches=tuple(maker.made)), tuple(maker.orders), frozenset(maker.gone))


def _when(each: Extra | Lost) -> float:
    assert each.at is not None
    return each.at.timestamp()


def _lose(maker: _Maker, lost: Lost, suffix: str) -> list[tuple[int, Order]]:
    """Take out what is lost; what has to be made anew, as orders with their places."""
    for number, batch in enumerate(maker.made):
        if batch.id == lost.of:
            maker.gone |= {batch.id, *(lot.id for lot in batch.lots)}
            if batch.feeds and not batch.lots:
                if lost.remake:
                    maker.made[number] = replace(batch, id=batch.id + suffix)
                else:
                    del maker.made[number]
                return []
            del maker.made[number]
            maker.made[:] = [_feeding(b, batch.id) for b in maker.made if b.feeds != (batch.id,)]
            return _again(maker, batch.lots) if lost.remake else []
        for lot in batch.lots:
            if lot.id == lost.of:
                maker.gone.add(lot.id)
                maker.made[number] = replace(batch, lots=tuple(each for each in batch.lots if each is not lot))
                return _again(maker, (lot,)) if lost.remake else []
    known = ", ".join(name for b in maker.made for name in (b.id, *(lot.id for lot in b.lots)))
    raise BadInput(f"nothing in this night is called {lost.of!r}: say what is lost as the plan calls it ({known})")


def _feeding(batch: Batch, gone: str) -> Batch:
    return replace(batch, feeds=tuple(name for name in batch.feeds if name != gone))


def _again(maker: _Maker, lots: Sequence[LotNeed]) -> list[tuple[int, Order]]:
    """The pieces of lost lots, as orders in the places of those they were for."""
    return [
        (place, maker.orders[place].model_copy(update={"pieces": pieces}))
        for lot in lots
        for place, pieces in lot.orders
    ]


def _summed(wanted: Sequence[tuple[int, Order]]) -> list[tuple[int, Order]]:
    """One order for each place, with all its pieces."""
    found: dict[int, Order] = {}
    for place, order in wanted:
        before = found[place].pieces if place in found else 0
        found[place] = order.model_copy(update={"pieces": before + order.pieces})
    return list(found.items())


def renamed(batch: Batch, suffix: str, places: Sequence[int]) -> Batch:
    """A batch with a suffix to every id in it, its lots' orders counted in the list of all orders."""

    def lot(each: LotNeed) -> LotNeed:
        shares = tuple((places[index], pieces) for index, pieces in each.orders)
        return replace(each, id=each.id + suffix, orders=shares)

    feeds = tuple(name + suffix for name in batch.feeds)
    return replace(batch, id=batch.id + suffix, feeds=feeds, lots=tuple(lot(each) for each in batch.lots))
