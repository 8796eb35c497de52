"""The same night otherwise: with other equipment, other people, another room, other orders, other ways.

Everything that is not said stays as the kitchen, the formulas and the order book have it. Times are on the kitchen's
clock.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from pydantic import Field

from smallhours.bakery.document import Document, Slug, Words
from smallhours.bakery.orders.document import MOST_PIECES
from smallhours.bakery.quantity import Celsius, Seconds
from smallhours.errors import Fault


class Things(Document):
    """So many more (below 0: fewer) of a piece of equipment, named as the kitchen names it (a deck: ``oven.deck``).

    Counted are tray places of a fridge, freezer or proofer, places at a bench, pans of a kind, racks of a kind, mixers
    and ovens like this one, and decks like this one in its oven.
    """

    equipment: Words
    by: int = Field(ge=-10000, le=10000)


class Shift(Document):
    """Other hours of a person: every stretch of work of the night begins and ends so much earlier or later."""

    person: Slug
    begins_earlier_s: Seconds | None = None
    begins_later_s: Seconds | None = None
    ends_later_s: Seconds | None = None
    ends_earlier_s: Seconds | None = None

    @property
    def begin_s(self) -> float:
        """By how much later work begins; below 0: earlier."""
        return (self.begins_later_s or 0.0) - (self.begins_earlier_s or 0.0)

    @property
    def end_s(self) -> float:
        """By how much later work ends; below 0: earlier."""
        return (self.ends_later_s or 0.0) - (self.ends_earlier_s or 0.0)

    def faults(self) -> Iterable[Fault]:
        where = f"hours of {self.person!r}"
        if self.begins_earlier_s and self.begins_later_s:
            yield Fault(where, "begin earlier and later; say one of them")
        if self.ends_earlier_s and self.ends_later_s:
            yield Fault(where, "end earlier and later; say one of them")


class Helper(Document):
    """Another pair of hands, from ``start`` to ``end`` (at or before the start: on the next day)."""

    name: Words = "Helper"
    start: dt.time
    end: dt.time


class Wanted(Document):
    """Other pieces or another due time of what is ordered of a product.

    Which orders: those of ``customer`` and ``due``, as far as they are said; where there is none, an order of that
    customer, due and ``more`` is added. ``more``: pieces on top (``fewer``: less) of the largest of them; ``new_due``:
    of each of them; ``times``: so many times as many pieces of each, rounded up.
    """

    product: Slug | None = None
    customer: Words | None = None
    due: dt.time | None = None
    more: int = Field(default=0, ge=0, lt=MOST_PIECES)
    fewer: int = Field(default=0, ge=0, lt=MOST_PIECES)
    new_due: dt.time | None = None
    times: float = Field(default=1.0, ge=0, le=100)

    def faults(self) -> Iterable[Fault]:
        where = f"orders of {self.product or 'everything'}"
        if self.more and self.fewer:
            yield Fault(where, "are more and fewer; say one of them")
        if (self.more or self.fewer) and self.product is None:
            yield Fault(where, "name no product, of which there are to be more or fewer pieces")


class OneWay(Document):
    """A stage of a formula is done at this place and nowhere else: one of the ways that the formula allows."""

    product: Slug
    stage: Words
    place: Words


class DeckKept(Document):
    """A deck (``oven.deck``) that stands at one set temperature all night; what cannot be baked so goes elsewhere."""

    deck: Words
    set_temp_c: Celsius


class BakedAt(Document):
    """A product baked at another set temperature, for so long."""

    product: Slug
    set_temp_c: Celsius
    duration_s: Seconds = Field(gt=0)


class Variation(Document):
    """What is otherwise in a night. ``name``: what to call it; ``without``: equipment that is not there;
    ``ill``: people who do not come; ``room_c``: of the room all night."""

    name: Words | None = None
    things: tuple[Things, ...] = ()
    without: tuple[Words, ...] = ()
    hours: tuple[Shift, ...] = ()
    helpers: tuple[Helper, ...] = ()
    ill: tuple[Slug, ...] = ()
    room_c: Celsius | None = None
    orders: tuple[Wanted, ...] = ()
    ways: tuple[OneWay, ...] = ()
    decks: tuple[DeckKept, ...] = ()
    bakes: tuple[BakedAt, ...] = ()

    def faults(self) -> Iterable[Fault]:
        for part in (*self.hours, *self.orders):
            yield from part.faults()
        for kept in {deck.deck for deck in self.decks}:
            if sum(deck.deck == kept for deck in self.decks) > 1:
                yield Fault(f"deck {kept!r}", "is kept at two set temperatures; say one of them")


def both(first: Variation, second: Variation) -> Variation:
    """Two variations as one; of two rooms the second counts."""
    lists = ("things", "without", "hours", "helpers", "ill", "orders", "ways", "decks", "bakes")
    joined = {name: (*getattr(first, name), *getattr(second, name)) for name in lists}
    room_c = first.room_c if second.room_c is None else second.room_c
    return Variation.model_validate({**joined, "room_c": room_c, "name": second.name or first.name})
