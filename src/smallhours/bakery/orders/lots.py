"""Lots: the pieces of one product and one due time that go through proof and oven together."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.products import Product
from smallhours.errors import OutOfRange

MOST_LOTS = 1000


@dataclass(frozen=True)
class LotNeed:
    """Pieces of one product, all due at one instant, at most what one oven chamber and the pans take at once.

    ``pans``: pans it fills (0 for a product without a pan); ``tray_places``: full tray places they take;
    ``orders``: (index of the order, pieces) shares; ``main_mass_g``: of the formula's main part, at weigh-up.
    """

    id: str
    product: str
    pieces: int
    pans: int
    tray_places: int
    due: dt.datetime
    orders: tuple[tuple[int, int], ...]
    main_mass_g: float


@dataclass(frozen=True)
class Pieces:
    """Pieces of one product and due time before they are a lot: which orders they are for, in order."""

    product: str
    due: dt.datetime
    shares: tuple[tuple[int, int], ...]

    @property
    def count(self) -> int:
        """Pieces altogether."""
        return sum(pieces for _, pieces in self.shares)

    def cut(self, first: int) -> tuple[Pieces, Pieces]:
        """The first so many pieces, and the rest."""
        head: list[tuple[int, int]] = []
        tail: list[tuple[int, int]] = []
        left = first
        for order, pieces in self.shares:
            taken = min(left, pieces)
            left -= taken
            if taken:
                head.append((order, taken))
            if pieces - taken:
                tail.append((order, pieces - taken))
        return Pieces(self.product, self.due, tuple(head)), Pieces(self.product, self.due, tuple(tail))


def pieces_due(orders: Sequence[Order], kitchen: Kitchen) -> tuple[Pieces, ...]:
    """The orders as pieces per product and due instant, earliest first, all orders of one due together."""
    zone = kitchen.zone()
    gathered: dict[tuple[dt.datetime, str], list[tuple[int, int]]] = {}
    for index, order in enumerate(orders):
        gathered.setdefault((instant(order.date, order.due, zone), order.product), []).append((index, order.pieces))
    return tuple(Pieces(product, due, tuple(shares)) for (due, product), shares in sorted(gathered.items()))


def check_loads(pieces: Pieces, product: Product) -> None:
    """Raises OutOfRange when these pieces would be more than ``MOST_LOTS`` oven loads."""
    number = math.ceil(pieces.count / _most(product))
    if number > MOST_LOTS:
        raise OutOfRange(
            f"{pieces.count} pieces of {product.formula.id!r} would take {number} oven loads in one night; "
            f"at most {MOST_LOTS} can be planned: check the number of pieces"
        )


def loads(pieces: Pieces, product: Product) -> Iterator[Pieces]:
    """The pieces in loads that go in at once: whole pans, full loads first, what is left over last."""
    rest, most = pieces, _most(product)
    while rest.count > most:
        load, rest = rest.cut(most)
        yield load
    yield rest


def _most(product: Product) -> int:
    return product.most_pans * product.pieces_per_pan


def lot(pieces: Pieces, product: Product, number: int, piece_mass_g: float) -> LotNeed:
    """The lot that these pieces are; ``piece_mass_g``: main part per piece, at weigh-up."""
    count = pieces.count
    return LotNeed(
        id=f"{pieces.product}.lot.{number}",
        product=pieces.product,
        pieces=count,
        pans=product.pans(count) if product.pan is not None else 0,
        tray_places=product.tray_places(count),
        due=pieces.due,
        orders=pieces.shares,
        main_mass_g=count * piece_mass_g,
    )
