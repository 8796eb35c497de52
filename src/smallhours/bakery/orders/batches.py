"""Orders of one day become batches: pieces, oven lots, dough need with losses worked backwards, bowls.

Products that share a base dough share its batches. Whatever else a formula has (preferment, soaker, filling,
glaze, wash) is made once for the whole night, or as often as it has to be fresh, and says which batches it goes into.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.amounts import Amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.formula.part_amounts import part_amounts
from smallhours.bakery.formula.scaling import scale_by_pieces
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.bowls import BowlRange, share, split, takers, within
from smallhours.bakery.orders.claims import check_claims
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.lots import LotNeed, Pieces, check_loads, loads, lot, pieces_due
from smallhours.bakery.orders.mixing import follows, mixer_ranges
from smallhours.bakery.orders.products import Product, finder, ordered_products
from smallhours.bakery.orders.small_batches import filled_up, too_small
from smallhours.bakery.orders.when_used import WhenUsed, kept_together, one_by_one_s
from smallhours.bakery.pantry import Pantry
from smallhours.errors import DocumentError, Fault

__all__ = ["Batch", "BatchPlan", "LotNeed", "batches", "split"]


@dataclass(frozen=True)
class Batch:
    """One bowl of one part.

    ``formula``: joined; the base formula's when the part is the base's. ``mass_g``: at weigh-up. ``lots``: only for
    the part that is divided. ``mixers``: those that can take it, best filled first; empty means by hand.
    ``feeds``: the batches it goes into. ``amounts``: this part and the parts inside it, for this batch. ``over_g``: how
    much of it nobody ordered: it only fills the bowl.
    """

    id: str
    formula: Formula
    part_id: str
    kind: str
    mass_g: float
    flour_g: float
    lots: tuple[LotNeed, ...]
    mixers: tuple[str, ...]
    feeds: tuple[str, ...]
    amounts: Amounts
    over_g: float = 0.0


@dataclass(frozen=True)
class BatchPlan:
    """All batches of a night (doughs first, earliest due first), and what a baker should know about them."""

    batches: tuple[Batch, ...] = ()
    problems: tuple[Finding, ...] = ()


def batches(orders: Sequence[Order], formulas: Mapping[str, Formula], kitchen: Kitchen, pantry: Pantry) -> BatchPlan:
    """What must be mixed for the orders of one day.

    No orders: an empty plan. A batch under every bowl's minimum is planned all the same (in the mixer with the
    smallest minimum; under half of that, by hand) and reported.
    Raises: DocumentError with everything that is wrong with orders, formulas and kitchen together (unknown product,
    pieces out of range, no mixer, no oven, a pan that is not there, free from what it holds); OutOfRange for more
    than a night can hold.
    """
    products = ordered_products(orders, formulas, kitchen)
    check_claims(orders, {name: product.formula for name, product in products.items()}, pantry)
    night = _Night(products, finder(formulas), kitchen, pantry)
    for pieces in pieces_due(orders, kitchen):
        night.add(pieces)
    night.make_doughs()
    night.make_parts()
    return BatchPlan(tuple(night.made), tuple(night.problems))


_MANY = 1000  # pieces from which the mass of one is taken
_SLACK_G = 1e-6
_STEPS = 20  # in which bowls are made more even
Node = tuple[str, str]  # the formula that owns a part, and the part


class _Night:
    """The night while its batches are being made."""

    def __init__(
        self, products: Mapping[str, Product], find: Callable[[str], Formula], kitchen: Kitchen, pantry: Pantry
    ) -> None:
        self.products, self.find, self.kitchen, self.pantry = products, find, kitchen, pantry
        self.formulas: dict[str, Formula] = {}
        self.wanted: dict[Node, list[Pieces]] = {}
        self.made: list[Batch] = []
        self.problems: list[Finding] = []
        self.used = WhenUsed({name: product.formula for name, product in products.items()})
        self._lot_numbers: dict[str, int] = {}
        self._scaled: dict[tuple[str, int], dict[str, float]] = {}
        self._piece_mass_g = {
            name: self._parts_g(name, _MANY)[product.formula.main] / _MANY for name, product in products.items()
        }

    def _parts_g(self, product: str, pieces: int) -> dict[str, float]:
        """Masses of a product's parts at weigh-up, for so many pieces."""
        if (product, pieces) not in self._scaled:
            parts = scale_by_pieces(self.products[product].formula, self.pantry, pieces).amounts.parts
            self._scaled[product, pieces] = {name: part.mass_g for name, part in parts.items()}
        return self._scaled[product, pieces]

    def formula(self, formula_id: str) -> Formula:
        """A joined formula."""
        if formula_id not in self.formulas:
            self.formulas[formula_id] = joined(self.find(formula_id), self.find)
        return self.formulas[formula_id]

    def owner(self, formula_id: str, part_id: str) -> str:
        """The formula a part of a product comes from: its base, unless the product changes it or what is inside."""
        own = self.find(formula_id)
        if own.base is None:
            return formula_id
        base = {part.id: part for part in self.find(own.base).parts}
        changed = {part.id for part in own.parts}
        inside = [part_id]
        for name in inside:  # grows while it is gone through: everything inside the part
            if name not in base or name in changed:
                return formula_id
            inside += [line.part for line in base[name].lines if line.part and line.part not in inside]
        return own.base

    def add(self, pieces: Pieces) -> None:
        """Take in the pieces of one product and due time."""
        product = self.products[pieces.product]
        main = product.formula.main
        check_loads(pieces, product)
        self.wanted.setdefault((self.owner(pieces.product, main), main), []).append(pieces)

    # the parts that are divided into pieces

    def make_doughs(self) -> None:
        """Batches of all that is divided, earliest due first; what is due together is cut where a bowl ends."""
        for (formula_id, part_id), wanted in self.wanted.items():
            formula = self.formula(formula_id)
            ranges = mixer_ranges(formula, part_id, self.kitchen, self.pantry)
            self._check_pieces(wanted, ranges)
            sizes = ranges or follows(formula, part_id, self.kitchen, self.pantry)
            sizes = within(sizes, self._room_g(wanted))
            for number, bowl in enumerate(self._bowls(wanted, sizes), 1):
                lots = tuple(
                    self._lot(load) for pieces in bowl for load in loads(pieces, self.products[pieces.product])
                )
                mass_g = sum(each.main_mass_g for each in lots)
                self._keep(formula, part_id, number, mass_g, lots, (), ranges)

    def _check_pieces(self, wanted: Sequence[Pieces], ranges: Sequence[BowlRange]) -> None:
        """Raises DocumentError for a product of which not even one piece fits into a bowl."""
        most_g = max((r.max_g for r in ranges), default=math.inf)
        heavy = {p.product: self._piece_mass_g[p.product] for p in wanted if self._piece_mass_g[p.product] > most_g}
        faults = [
            Fault(
                f"product {name!r}",
                f"takes {mass_g:.0f} g of dough for one piece, but the largest bowl takes {most_g:g} g of it: add a "
                "larger mixer, or set the mix's place to bench",
            )
            for name, mass_g in heavy.items()
        ]
        if faults:
            raise DocumentError("orders", faults)

    def _room_g(self, wanted: Sequence[Pieces]) -> float:
        """The most of a dough from one bowl that finds pans (and, for a batter, ovens) for whatever it becomes."""
        names = {pieces.product for pieces in wanted}
        return min(self.products[name].most_pieces * self._piece_mass_g[name] for name in names)

    def _lot(self, pieces: Pieces) -> LotNeed:
        number = self._lot_numbers[pieces.product] = self._lot_numbers.get(pieces.product, 0) + 1
        return lot(pieces, self.products[pieces.product], number, self._piece_mass_g[pieces.product])

    def _bowls(self, wanted: Sequence[Pieces], ranges: Sequence[BowlRange]) -> list[list[Pieces]]:
        total_g = sum(self._mass_g(pieces) for pieces in wanted)
        if not ranges:
            return [list(wanted)]
        most_g = max(r.max_g for r in ranges)
        heaviest_g = max(self._piece_mass_g[pieces.product] for pieces in wanted)
        targets = share(total_g, ranges)
        for extra in range(3):
            if extra:  # whole pieces did not fit the fewest bowls: make room for one more
                targets = split(total_g, 0.0, total_g / (len(targets) + 1))
            for whole_pans in (True, False):
                bowls = self._filled(wanted, targets, whole_pans)
                if all(self._fits(bowl, target, most_g, heaviest_g, ranges)
                       for bowl, target in zip(bowls, targets, strict=True)):  # fmt: skip
                    return [bowl for bowl in bowls if bowl]
        if any(self._bowl_g(bowl) > most_g + _SLACK_G for bowl in bowls):
            return self._evenly(wanted, most_g)
        return [bowl for bowl in bowls if bowl]

    def _evenly(self, wanted: Sequence[Pieces], most_g: float) -> list[list[Pieces]]:
        """The fewest bowls that hold whole pieces, as even as pieces allow, none of them over ``most_g``."""
        number = len(self._laid(wanted, most_g))
        least_g = sum(self._mass_g(pieces) for pieces in wanted) / number
        for step in range(_STEPS):
            bowls = self._laid(wanted, least_g + (most_g - least_g) * step / _STEPS)
            if len(bowls) == number and max(map(self._bowl_g, bowls)) <= most_g + _SLACK_G:
                return bowls
        return self._laid(wanted, most_g)

    def _laid(self, wanted: Sequence[Pieces], most_g: float) -> list[list[Pieces]]:
        """Pieces laid end to end, as many in each bowl as it holds, and at least one."""
        bowls: list[list[Pieces]] = [[]]
        for pieces in wanted:
            rest = pieces
            while rest.count:
                room_g = most_g - self._bowl_g(bowls[-1]) + _SLACK_G
                count = math.floor(room_g / self._piece_mass_g[pieces.product])
                head, rest = rest.cut(max(count, 0 if bowls[-1] else 1))
                if head.count:
                    bowls[-1].append(head)
                if rest.count:
                    bowls.append([])
        return bowls

    def _bowl_g(self, bowl: Sequence[Pieces]) -> float:
        return sum(self._mass_g(pieces) for pieces in bowl)

    def _fits(
        self, bowl: Sequence[Pieces], target_g: float, most_g: float, piece_g: float, ranges: Sequence[BowlRange]
    ) -> bool:
        mass_g = self._bowl_g(bowl)
        if any(r.takes(mass_g) for r in ranges):
            return True
        # a batch that is too small for every bowl whatever is done may be a piece off its target
        return mass_g <= most_g and not any(r.takes(target_g) for r in ranges) and abs(mass_g - target_g) <= piece_g

    def _mass_g(self, pieces: Pieces) -> float:
        return pieces.count * self._piece_mass_g[pieces.product]

    def _filled(self, wanted: Sequence[Pieces], targets: Sequence[float], whole_pans: bool) -> list[list[Pieces]]:
        """Pieces laid end to end and cut where each batch ends: at the nearest pan, or at the nearest piece."""
        bowls: list[list[Pieces]] = [[] for _ in targets]
        at, end_g, laid_g = 0, targets[0], 0.0
        for pieces in wanted:
            rest = pieces
            piece_g = self._piece_mass_g[pieces.product]
            step = self.products[pieces.product].pieces_per_pan if whole_pans else 1
            while at < len(targets) - 1 and laid_g + self._mass_g(rest) > end_g:
                room = step * round((end_g - laid_g) / piece_g / step)
                head, rest = rest.cut(max(0, min(room, rest.count)))
                if head.count:
                    bowls[at].append(head)
                    laid_g += self._mass_g(head)
                at += 1
                end_g += targets[at]
                if not rest.count:
                    break
            if rest.count:
                bowls[at].append(rest)
                laid_g += self._mass_g(rest)
        return bowls

    # the parts that go into others

    def make_parts(self) -> None:
        """Batches of everything that goes into a dough or onto a piece, made once for the whole night."""
        waiting = dict.fromkeys(
            (self.owner(name, part.id), part.id) for name, p in self.products.items() for part in p.formula.parts
        )
        for node in self.wanted:
            waiting.pop(node, None)
        while waiting:
            ready = [node for node in waiting if not any(self._goes_into(node, other) for other in waiting)]
            for node in ready:
                del waiting[node]
                self._make_part(node)

    def _goes_into(self, node: Node, other: Node) -> bool:
        other_part = self.formula(other[0]).part(other[1])
        return node != other and any(
            line.part == node[1] and self.owner(other[0], node[1]) == node[0] for line in other_part.lines
        )

    def _make_part(self, node: Node) -> None:
        """Batches of one part: for all that need it, or several where it does not keep from the first to the last."""
        wanting = [(batch, need) for batch in self.made if (need := self._need_g(batch, node)) > 0]
        if not wanting:
            return
        formula, part_id = self.formula(node[0]), node[1]
        ranges = mixer_ranges(formula, part_id, self.kitchen, self.pantry)
        spans = [self.used.span(part_id, batch) for batch, _ in wanting]
        apart_s = one_by_one_s(formula, part_id, [batch for batch, _ in wanting])
        number = 0
        for group in kept_together(spans, formula.part(part_id).keeps_s, apart_s):
            needs = [(wanting[n][0].id, wanting[n][1]) for n in sorted(group)]
            total_g = sum(need for _, need in needs)
            masses = share(total_g, ranges) if ranges else (total_g,)
            for mass_g, feeds in zip(masses, fed_by(masses, needs), strict=True):
                number += 1
                self._keep(formula, part_id, number, mass_g, (), feeds, ranges)
                users = [(part_id, batch) for batch, _ in wanting if batch.id in feeds]
                self.used.note(self.made[-1], users)

    def _need_g(self, batch: Batch, node: Node) -> float:
        """How much of a part goes into one batch: through its lines, or with the pieces of its lots."""
        need_g = sum(
            line.mass_g
            for line in batch.amounts.parts[batch.part_id].lines
            if line.line.part == node[1] and self.owner(batch.formula.id, node[1]) == node[0]
        )
        for each in batch.lots:
            formula = self.products[each.product].formula
            fed = {line.part for part in formula.parts for line in part.lines}
            if node[1] in fed or node[1] == formula.main or self.owner(each.product, node[1]) != node[0]:
                continue
            if any(part.id == node[1] for part in formula.parts):
                need_g += self._parts_g(each.product, each.pieces)[node[1]]
        return need_g

    def _keep(
        self,
        formula: Formula,
        part_id: str,
        number: int,
        mass_g: float,
        lots: tuple[LotNeed, ...],
        feeds: tuple[str, ...],
        ranges: Sequence[BowlRange],
    ) -> None:
        part = formula.part(part_id)
        pieces = sum(each.pieces for each in lots) if lots else None
        batch_id = f"{formula.id}.{part_id}.{number}"
        over_g = 0.0
        if part.fill_bowl and (filled := filled_up(batch_id, part, mass_g, ranges)) is not None:
            over_g, finding = filled
            mass_g += over_g
            self.problems.append(finding)
        amounts = part_amounts(formula, part_id, mass_g, self.pantry, pieces)
        mixers = takers(mass_g, ranges)
        if ranges and not mixers:
            piece_g = min((self._piece_mass_g[each.product] for each in lots), default=None)
            mixers, finding = too_small(batch_id, part, mass_g, piece_g, ranges)
            self.problems.append(finding)
        self.made.append(
            Batch(batch_id, formula, part_id, part.kind, mass_g, amounts.flour_g, lots, mixers, feeds, amounts, over_g)
        )


def fed_by(masses: Sequence[float], needs: Sequence[tuple[str, float]]) -> list[tuple[str, ...]]:
    """Which batches each of several batches of a part goes into, the earliest first, none wasted.

    >>> fed_by((6.0, 6.0), [("a", 4.0), ("b", 4.0), ("c", 4.0)])
    [('a', 'b'), ('b', 'c')]
    """
    fed: list[tuple[str, ...]] = []
    start = 0.0
    for mass in masses:
        end, at, names = start + mass, 0.0, []
        for name, need in needs:
            if min(end, at + need) - max(start, at) > 1e-6:
                names.append(name)
            at += need
        fed.append(tuple(names))
        start = end
    return fed
