"""Write orders: to those that are there, or in place of all of them."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.saving import OrdersMode, Saved, save_one
from smallhours.actions.shelf import shelf
from smallhours.bakery.orders.document import OrderBook
from smallhours.records.keeping import Signature


@dataclass(frozen=True)
class SaveOrders:
    """Orders. ``mode`` ``add``: an order for the same customer, product and due time on the same day (or weekdays)
    takes the place of the former, others stay; ``replace``: the book is all there is."""

    orders: OrderBook
    mode: OrdersMode = "add"
    reason: str = ""


def save_orders(command: SaveOrders, actor: Actor = BAKER, clock: Clock = now) -> Saved:
    """Write them. Raises DocumentError for a product that has no formula, NotAllowed."""
    require(actor, "save orders")
    signature = Signature(actor.name, clock(), command.reason)
    return save_one(shelf(), command.orders, "orders", signature, command.mode)
