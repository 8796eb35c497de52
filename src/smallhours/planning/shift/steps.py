"""The work of a night as steps: every stage of every batch and lot, with its ways and what each way needs.

A batch goes through its own stages as one mass; from dividing on each lot goes its own way. What keeps standing
in something (pans, racks, cold places) is a demand of every step it stands there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from smallhours.bakery.formula.document import Attention, Formula, Stage, Way
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch, LotNeed
from smallhours.bakery.process import habits
from smallhours.bakery.quantity import say_set_temp
from smallhours.errors import BadInput, NoPlaceForStage
from smallhours.forecast.windows import StageWindow
from smallhours.planning.engine.problem import Demand, Part
from smallhours.planning.shift.allergens import Touching, Watch
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import AN_HOUR_S, BENCH, DOOR, OPENINGS, RACK, DeckOf, Equipment, state_name
from smallhours.planning.shift.people import POOL
from smallhours.planning.shift.windows import Windows

BY_HAND = "by-hand"
# what dough stands in until the oven, and is turned out of before it goes in
_NOT_IN_THE_OVEN = ("basket", "board")


def attention_here(stage: Stage, by_hand: bool) -> Attention:
    """When hands are needed at a stage; what a mixer would do is done by hands throughout where there is none."""
    return "throughout" if by_hand else habits.attention_of(stage)


@dataclass(frozen=True)
class StepWay:
    """One way to do a step: the engine's mode id, the formula's way, its window, what it needs."""

    mode: str
    way: str
    place: str
    window: StageWindow
    demands: tuple[Demand, ...]
    cost: int = 0


@dataclass(frozen=True)
class Step:
    """One stage of one batch or lot; ``holds`` and ``free_from``: of the allergens that matter tonight."""

    id: str
    kind: str
    stage: Stage
    batch: Batch
    lot: LotNeed | None
    pieces: int
    ways: tuple[StepWay, ...]
    holds: frozenset[str] = frozenset()
    free_from: frozenset[str] = frozenset()

    @property
    def about(self) -> str:
        """The lot it belongs to, or the batch while the dough is one mass."""
        return self.lot.id if self.lot else self.batch.id


@dataclass(frozen=True)
class Strand:
    """The steps of one batch or one lot, in order. ``waits_s``: longest wait after each of them."""

    of: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Maker:
    """What is needed to make steps: the kitchen, its equipment, the clock, the stage windows, the oven's settings, the
    allergens to be kept apart, and whether anything of the night is baked with steam."""

    kitchen: Kitchen
    equipment: Equipment
    clock: Clock
    windows: Windows
    formulas: dict[str, Formula]
    set_temps_c: Sequence[float]
    watch: Watch = field(default_factory=Watch)
    steam: bool = False

    def batch_strand(self, batch: Batch) -> Strand:
        """The steps that the whole batch goes through."""
        pieces = sum(lot.pieces for lot in batch.lots)
        steps = [self._step(batch, None, stage, pieces, 0) for stage in self._batch_stages(batch)]
        return Strand(batch.id, tuple(steps))

    def _batch_stages(self, batch: Batch) -> tuple[Stage, ...]:
        own = batch.formula.stages_of(batch.part_id)
        return own[: self._through(batch)] if batch.part_id == batch.formula.main else own

    def lot_strand(self, batch: Batch, lot: LotNeed) -> Strand:
        """The steps that one lot goes through, from dividing to finished, and the pans' cooling after the oven."""
        product = self.formulas[lot.product]
        stages = self.lot_stages(batch, lot)
        panned = _panned_from(stages) if product.pan else len(stages)
        baked = next((i for i, stage in enumerate(stages) if stage.kind == "bake"), len(stages))
        if product.pan and self.equipment.pans[product.pan].kind in _NOT_IN_THE_OVEN:
            baked -= 1
        steps = []
        for index, stage in enumerate(stages):
            pans = lot.pans if panned <= index <= baked else 0
            steps.append(self._step(batch, lot, stage, lot.pieces, pans))
        return Strand(lot.id, tuple(steps))

    def touching(self, batches: Sequence[Batch]) -> Iterator[Touching]:
        """Everything that is done with these batches and their lots."""
        for batch in batches:
            for stage in self._batch_stages(batch):
                yield batch, None, stage
            for lot in batch.lots:
                for stage in self.lot_stages(batch, lot):
                    yield batch, lot, stage

    def lot_stages(self, batch: Batch, lot: LotNeed) -> tuple[Stage, ...]:
        """The stages of a lot: those of its product after the ones its batch went through.

        Raises: BadInput for a product without stages.
        """
        product = self.formulas[lot.product]
        stages = product.stages_of(product.main)
        if not stages:
            raise BadInput(f"{product.name}: part {product.main!r} has no stages; give at least one, such as a bake")
        return stages[self._through(batch) :]

    def _through(self, batch: Batch) -> int:
        """How many stages the whole batch goes through; the last of all is left to the lots, so that they get ready."""
        shared = len(habits.chain_of(batch.formula.stages_of(batch.formula.main)).of_batch)
        products = [self.formulas[lot.product] for lot in batch.lots]
        return max(0, min([shared, *(len(p.stages_of(p.main)) - 1 for p in products)]))

    def _step(self, batch: Batch, lot: LotNeed | None, stage: Stage, pieces: int, pans: int) -> Step:
        about = lot.id if lot else batch.id
        formula = self.formulas[lot.product] if lot else batch.formula
        ways: list[StepWay] = []
        for number, way in enumerate((habits.main_way(stage, pieces), *stage.instead)):
            name = "main" if number == 0 else way.place
            for place, demands in self._places(batch, lot, stage, way):
                window = self.windows.window(formula, batch, lot, stage, way, place)
                if window.temper_s is not None:
                    demands = self._in_the_cold(place, self._tray_places(batch, lot), window.temper_s, lot is not None)
                hands = self._hands(stage, window, by_hand=place == BY_HAND)
                shared = (*demands, *hands, *_pan_demand(formula, pans))
                target = BENCH if place == BY_HAND else place
                for at, state in self.watch.ways((batch, lot, stage), place, target, self.kitchen):
                    ways.append(StepWay(f"{number}:{at}", name, at, window, (*shared, *state), cost=number))
        if not ways:
            raise NoPlaceForStage(
                f"{formula.name}: nothing in this kitchen does its stage {stage.key!r}; "
                f"it needs {_wanted(stage, self._tray_places(batch, lot))}"
            )
        return Step(
            f"{about}:{stage.part or formula.main}:{stage.key}",
            stage.kind,
            stage,
            batch,
            lot,
            pieces,
            tuple(ways),
            self.watch.keep.holds(batch, lot, stage),
            self.watch.keep.free_from(batch, lot),
        )

    def _hands(self, stage: Stage, window: StageWindow, by_hand: bool) -> tuple[Demand, ...]:
        attention = attention_here(stage, by_hand)
        if attention == "none":
            return ()
        start_s, end_s = habits.hands_s(stage)
        parts = (Part("first", self.clock.length(start_s)), Part("last", self.clock.length(end_s)))
        if attention == "throughout" or parts[0].ticks + parts[1].ticks > self.clock.length(window.min_s):
            return (Demand(POOL),)  # hands at both ends of something that short are one pair of hands, not two
        return tuple(Demand(POOL, 1, part) for part in parts if part.ticks)

    def _tray_places(self, batch: Batch, lot: LotNeed | None) -> int:
        places = lot.tray_places if lot else math.ceil(batch.mass_g / self.kitchen.slab_mass_g)
        return max(1, places)

    def _places(
        self, batch: Batch, lot: LotNeed | None, stage: Stage, way: Way
    ) -> Iterator[tuple[str, tuple[Demand, ...]]]:
        places = self._tray_places(batch, lot)
        match way.place:
            case "mixer":
                for mixer in batch.mixers:
                    yield mixer, (Demand(mixer),)
                if not batch.mixers:
                    yield BY_HAND, ((Demand(BENCH),) if self.equipment.bench_places else ())
            case "bench":
                yield BENCH, ((Demand(BENCH),) if self.equipment.bench_places else ())
            case "room" | "rack":
                on_rack = lot is not None and (lot.pans or way.place == "rack") and self.equipment.rack_places
                if not on_rack or places <= self.equipment.rack_places:
                    yield way.place, ((Demand(RACK, places),) if on_rack else ())
            case "fridge" | "freezer":
                yield from self._cold_places(way, places, on_trays=lot is not None)
            case "proofer":
                for key, proofer in self.equipment.proofers.items():
                    if places <= proofer.tray_places:
                        yield key, (Demand(key, places),)
            case "oven":
                for deck in self.equipment.decks.values():
                    yield from self._deck(deck, stage, places)

    def _cold_places(self, way: Way, places: int, on_trays: bool) -> Iterator[tuple[str, tuple[Demand, ...]]]:
        for key, cold in self.equipment.cold.items():
            if (cold.kind == "freezer") == (way.place == "freezer") and places <= cold.tray_places:
                yield key, self._in_the_cold(key, places, way.temper_s or 0.0, on_trays)

    def _in_the_cold(self, key: str, places: int, temper_s: float, on_trays: bool) -> tuple[Demand, ...]:
        temper = self.clock.length(temper_s)
        opened = self._openings(key, temper)
        if not temper:
            return (Demand(key, places), *opened)
        racked = on_trays and places <= self.equipment.rack_places
        out = (Demand(RACK, places, Part("last", temper)),) if racked else ()
        return (Demand(key, places, Part("but_last", temper)), *out, *opened)

    def _openings(self, key: str, temper: int) -> tuple[Demand, ...]:
        """What goes in and comes out counts for an hour, where the kitchen limits how often a place is opened."""
        if self.equipment.cold[key].most_openings_per_h is None:
            return ()
        hour, name = self.clock.length(AN_HOUR_S), key + OPENINGS
        return Demand(name, 1, Part("from_start", hour)), Demand(name, 1, Part("from_end", hour, lead=temper))

    def _deck(self, deck: DeckOf, stage: Stage, places: int) -> Iterator[tuple[str, tuple[Demand, ...]]]:
        if stage.set_temp_c is None:
            return
        if stage.steam and not deck.oven.steam:
            return
        if stage.oven is not None and stage.oven != deck.oven.kind:
            return
        if places > deck.deck.tray_places:
            return
        states = frozenset(
            state_name(t)
            for t in self.set_temps_c
            if abs(t - stage.set_temp_c) <= stage.set_temp_give_k and t <= deck.oven.max_temp_c
        )
        if states:
            rest = self.clock.length(deck.oven.recovery_s + deck.oven.reserve_s)
            part = Part("and_after", rest) if rest else Part()
            yield deck.id, (Demand(deck.id, places, part, states), *self._door(deck, stage))

    def _door(self, deck: DeckOf, stage: Stage) -> tuple[Demand, ...]:
        """What opens a deck, at loading and unloading, and what wants it shut; where anything tonight wants steam."""
        if not (self.steam and deck.oven.steam):
            return ()
        shut = self.clock.length(habits.shut_s(stage))
        first = Demand(deck.id + DOOR, deck.deck.tray_places, Part("first", shut)) if shut else None
        return (first or Demand(deck.id + DOOR, 1, Part("first", 1)), Demand(deck.id + DOOR, 1, Part("last", 1)))


def _panned_from(stages: Sequence[Stage]) -> int:
    for kinds in (("pan",), ("proof", "retard"), ("bake",)):
        for index, stage in enumerate(stages):
            if stage.kind in kinds:
                return index
    return len(stages)


def _pan_demand(formula: Formula, pans: int) -> tuple[Demand, ...]:
    return (Demand(formula.pan, pans),) if pans and formula.pan else ()


def _wanted(stage: Stage, tray_places: int) -> str:
    room = f"{tray_places} tray place{'' if tray_places == 1 else 's'}"
    if stage.set_temp_c is not None:
        kind = f"a {stage.oven} oven" if stage.oven else "an oven"
        steam = " with steam" if stage.steam else ""
        return f"{kind}{steam} that reaches {say_set_temp(stage.set_temp_c)}, with {room} in one chamber"
    places = dict.fromkeys((habits.place_of(stage), *(way.place for way in stage.instead)))
    if "oven" in places:
        return "a set temperature to be in an oven"
    return " or ".join(f"a {place}" for place in places) + f" with {room}"
