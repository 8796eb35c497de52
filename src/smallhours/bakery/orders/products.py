"""What an order needs to know of a product in this kitchen: its pans, its tray places, how much goes in at once."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula, Stage
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.document import Kitchen, Oven
from smallhours.bakery.orders.document import MOST_PIECES, Order
from smallhours.bakery.quantity import say_set_temp
from smallhours.errors import DocumentError, Fault, NotFound

_MIXED_KINDS = ("dough", "batter", "preferment")
_NO_LIMIT = 10**9


@dataclass(frozen=True)
class Product:
    """A product with its formula joined to its base. ``pan``: None when it stands on a full tray place of its own.

    ``most_pans``: pans (or tray places, without a pan) that go through proof and oven together. ``most_pieces``: pieces
    from one bowl that find pans at once, and an oven too where the dough cannot rest meanwhile (a batter).
    """

    formula: Formula
    pan: str | None
    pieces_per_pan: int
    tray_share: float
    most_pans: int
    most_pieces: int = _NO_LIMIT

    def pans(self, pieces: int) -> int:
        """Pans that hold so many pieces; the last may be part full."""
        return math.ceil(pieces / self.pieces_per_pan)

    def tray_places(self, pieces: int) -> int:
        """Full tray places that their pans take in oven, fridge and rack."""
        return math.ceil(self.pans(pieces) * self.tray_share - 1e-9)


def finder(formulas: Mapping[str, Formula]) -> Callable[[str], Formula]:
    """A look-up of formulas. It raises NotFound with the nearest spellings."""

    def find(formula_id: str) -> Formula:
        if formula_id in formulas:
            return formulas[formula_id]
        raise NotFound(f"there is no formula {formula_id!r}" + _nearest(formula_id, formulas))

    return find


def mixes_in_mixer(formula: Formula, part_id: str) -> bool:
    """Whether a part is mixed in a mixer.

    A mix stage that names no place stands at the mixer for doughs, batters and preferments, and for any part
    that gives minutes on first or second speed; a filling that is only stirred does not.
    """
    kind = formula.part(part_id).kind
    return any(
        stage.place == "mixer"
        or (stage.place is None and (kind in _MIXED_KINDS or stage.low_s is not None or stage.high_s is not None))
        for stage in formula.stages_of(part_id)
        if stage.kind == "mix"
    )


def ordered_products(orders: Sequence[Order], formulas: Mapping[str, Formula], kitchen: Kitchen) -> dict[str, Product]:
    """Every ordered product. Raises DocumentError with all that is wrong with orders, formulas and kitchen together."""
    faults = [fault for number, order in enumerate(orders, 1) for fault in _order_faults(number, order, formulas)]
    products: dict[str, Product] = {}
    for name in dict.fromkeys(order.product for order in orders if order.product in formulas):
        formula = joined(formulas[name], finder(formulas))
        if formula.output is None:
            faults.append(
                Fault(f"product {name!r}", "has no output (piece mass), so it cannot be ordered by the piece")
            )
            continue
        found = list(_kitchen_faults(formula, kitchen))
        faults += found
        if not found:
            products[name] = _product(formula, kitchen)
    if faults:
        raise DocumentError("orders", faults)
    return products


def _order_faults(number: int, order: Order, formulas: Mapping[str, Formula]) -> Iterator[Fault]:
    where = f"order {number} ({order.customer})"
    if order.product not in formulas:
        yield Fault(where, f"there is no formula {order.product!r}" + _nearest(order.product, formulas))
    if not 0 < order.pieces < MOST_PIECES:
        yield Fault(where, f"orders {order.pieces} pieces: it must be from 1 to {MOST_PIECES - 1}")


def _nearest(name: str, known: Mapping[str, Formula]) -> str:
    near = difflib.get_close_matches(name, known, n=3)
    if near:
        return " (did you mean " + " or ".join(repr(n) for n in near) + "?)"
    return " (there are: " + ", ".join(sorted(known)) + ")" if known else " (there are none)"


def _bakes(formula: Formula) -> tuple[Stage, ...]:
    return tuple(stage for stage in formula.stages_of(formula.main) if stage.kind == "bake")


def _kitchen_faults(formula: Formula, kitchen: Kitchen) -> Iterator[Fault]:
    where = f"product {formula.id!r}"
    if not kitchen.mixers and any(mixes_in_mixer(formula, part.id) for part in formula.parts):
        yield Fault(where, "is mixed in a mixer, but the kitchen has none: add one, or set the mix's place to bench")
    if formula.pan is not None:
        yield from _pan_faults(where, formula.pan, kitchen)
    yield from oven_faults(formula, kitchen)


def oven_faults(formula: Formula, kitchen: Kitchen) -> Iterator[Fault]:
    """Why this kitchen cannot bake a (joined) formula: no oven hot enough, of its kind, with steam, with room."""
    where, bakes = f"product {formula.id!r}", _bakes(formula)
    if bakes:
        yield from _no_such_oven(where, bakes, kitchen)
        share = next((p.tray_share for p in kitchen.pans if p.id == formula.pan), 1.0)
        room = _oven_places(bakes, kitchen)
        if 0 < room < share:
            yield Fault(where, f"one pan takes {share:g} tray places, but the largest oven chamber has {room}")


def _pan_faults(where: str, pan_id: str, kitchen: Kitchen) -> Iterator[Fault]:
    count = next((pan.count for pan in kitchen.pans if pan.id == pan_id), None)
    if count is None:
        known = ", ".join(sorted(pan.id for pan in kitchen.pans)) or "none"
        yield Fault(where, f"stands in the pan {pan_id!r}, which is not in the kitchen (there are: {known})")
    elif count == 0:
        yield Fault(where, f"stands in the pan {pan_id!r}, of which the kitchen has 0: give its count")


def _no_such_oven(where: str, bakes: Sequence[Stage], kitchen: Kitchen) -> Iterator[Fault]:
    if not kitchen.ovens:
        yield Fault(where, "is baked, but the kitchen has no oven: add one with its decks")
    elif not any(oven.decks for oven in kitchen.ovens):
        names = ", ".join(repr(oven.id) for oven in kitchen.ovens)
        yield Fault(where, f"is baked, but oven {names} has no decks: give it at least one, with its tray places")
    elif _oven_places(bakes, kitchen) == 0:
        yield Fault(where, f"is baked {_wanted(bakes)}, but the kitchen has no such oven ({_ovens(kitchen)})")


def _least_temp_c(stage: Stage) -> float:
    return (stage.set_temp_c or 0.0) - stage.set_temp_give_k


def _wanted(bakes: Sequence[Stage]) -> str:
    kinds = " and ".join(sorted({f"in a {stage.oven} oven" for stage in bakes if stage.oven}))
    steam = "with steam" if any(stage.steam for stage in bakes) else ""
    heat = f"at {say_set_temp(max(_least_temp_c(stage) for stage in bakes))} or more"
    return " ".join(words for words in (kinds, heat, steam) if words)


def _ovens(kitchen: Kitchen) -> str:
    return ", ".join(
        f"{oven.id!r}: {oven.kind}, up to {say_set_temp(oven.max_temp_c)}, {'with' if oven.steam else 'no'} steam"
        for oven in kitchen.ovens
    )


def _suits(oven: Oven, stage: Stage) -> bool:
    return (
        oven.max_temp_c >= _least_temp_c(stage) and stage.oven in (None, oven.kind) and (oven.steam or not stage.steam)
    )


def _oven_places(bakes: Sequence[Stage], kitchen: Kitchen) -> int:
    """Tray places of the largest chamber that is hot enough and of the right kind, for the bake with least room."""
    return min(
        max((deck.tray_places for oven in kitchen.ovens if _suits(oven, stage) for deck in oven.decks), default=0)
        for stage in bakes
    )


def _product(formula: Formula, kitchen: Kitchen) -> Product:
    pan = next((p for p in kitchen.pans if p.id == formula.pan), None)
    share = pan.tray_share if pan else 1.0
    places = min(_places_allowed(formula, kitchen), default=_NO_LIMIT)
    most = max(1, math.floor(places / share + 1e-9))
    pieces = _NO_LIMIT
    if pan is not None:
        most = min(most, pan.count)
        pieces = pan.count * formula.pieces_per_pan
    if bakes := () if _rests(formula) else _bakes(formula):
        chambers = [deck for oven in kitchen.ovens for deck in oven.decks if all(_suits(oven, b) for b in bakes)]
        loads = sum(deck.tray_places >= math.ceil(most * share - 1e-9) for deck in chambers)
        pieces = min(pieces, max(1, loads) * most * formula.pieces_per_pan)
    return Product(formula, formula.pan, formula.pieces_per_pan, share, most, pieces)


def _rests(formula: Formula) -> bool:
    """Whether its main part rests, proofs or is kept cold somewhere between mixing and oven."""
    return any(
        stage.kind in ("rest", "ferment", "proof", "retard", "chill") for stage in formula.stages_of(formula.main)
    )


def _places_allowed(formula: Formula, kitchen: Kitchen) -> Iterator[int]:
    """The tray places of every place that a lot has to go through, whatever way is chosen."""
    bakes = _bakes(formula)
    if bakes:
        yield _oven_places(bakes, kitchen)
    cold = {
        "fridge": [c.tray_places for c in kitchen.cold if c.kind != "freezer"],
        "freezer": [c.tray_places for c in kitchen.cold if c.kind == "freezer"],
        "proofer": [p.tray_places for p in kitchen.proofers],
    }
    stages = formula.stages_of(formula.main)
    panned = next((n for n, stage in enumerate(stages) if stage.kind in ("pan", "shape", "slice")), len(stages))
    for stage in stages[panned:]:
        there = cold.get(stage.place or "", [])
        if there and not stage.instead:
            yield max(there)
