"""The work of a night as steps: every stage of every batch and lot, with its ways and what each way needs.

A batch goes through its own stages as one mass; from dividing on each lot goes its own way. What keeps standing
in something (pans, racks, cold places) is a demand of every step it stands there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula, Stage, Way
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch, LotNeed
from smallhours.bakery.process import habits
from smallhours.forecast.windows import StageWindow
from smallhours.planning.engine.problem import Demand, Part
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import BENCH, RACK, DeckOf, Equipment, state_name
from smallhours.planning.shift.people import POOL
from smallhours.planning.shift.windows import Windows


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
    """One stage of one batch or lot."""

    id: str
    kind: str
    stage: Stage
    batch: Batch
    lot: LotNeed | None
    pieces: int
    ways: tuple[StepWay, ...]

    @property
    def about(self) -> str:
        """The lot it belongs to, or the batch while the dough is one mass."""
        return self.lot.id if self.lot else self.batch.id


@dataclass(frozen=True)
class Strand:
    """The steps of one batch or one lot, in order. ``waits_s``: longest wait after each of them."""

    of: str
    steps: tuple[Step, ...]


class Unmade(Exception):
    """A stage that this kitchen has nothing for; the message says which and what is missing."""


@dataclass(frozen=True)
class Maker:
    """What is needed to make steps: the kitchen, its equipment, the clock, the stage windows, the oven's settings."""

    kitchen: Kitchen
    equipment: Equipment
    clock: Clock
    windows: Windows
    formulas: dict[str, Formula]
    set_temps_c: Sequence[float]

    def batch_strand(self, batch: Batch) -> Strand:
        """The steps that the whole batch goes through."""
        own = batch.formula.stages_of(batch.part_id)
        main = batch.part_id == batch.formula.main
        stages = habits.chain_of(own).of_batch if main else own
        pieces = sum(lot.pieces for lot in batch.lots)
        steps = [self._step(batch, None, stage, pieces, 0) for stage in stages]
        return Strand(batch.id, tuple(steps))

    def lot_strand(self, batch: Batch, lot: LotNeed) -> Strand:
        """The steps that one lot goes through, from dividing to finished, and the pans' cooling after the oven."""
        product = self.formulas[lot.product]
        stages = self.lot_stages(batch, lot)
        panned = _panned_from(stages) if product.pan else len(stages)
        baked = next((i for i, stage in enumerate(stages) if stage.kind == "bake"), len(stages))
        steps = []
        for index, stage in enumerate(stages):
            pans = lot.pans if panned <= index <= baked else 0
            steps.append(self._step(batch, lot, stage, lot.pieces, pans))
        return Strand(lot.id, tuple(steps))

    def lot_stages(self, batch: Batch, lot: LotNeed) -> tuple[Stage, ...]:
        """The stages of a lot: those of its product after the ones its batch went through."""
        product = self.formulas[lot.product]
        through = len(habits.chain_of(batch.formula.stages_of(batch.formula.main)).of_batch)
        return product.stages_of(product.main)[through:]

    def _step(self, batch: Batch, lot: LotNeed | None, stage: Stage, pieces: int, pans: int) -> Step:
        about = lot.id if lot else batch.id
        formula = self.formulas[lot.product] if lot else batch.formula
        ways: list[StepWay] = []
        for number, way in enumerate((habits.main_way(stage, pieces), *stage.instead)):
            name = "main" if number == 0 else way.place
            for place, demands in self._places(batch, lot, stage, way):
                window = self.windows.window(formula, batch, lot, stage, way, place)
                shared = (*demands, *self._hands(stage), *_pan_demand(formula, pans))
                ways.append(StepWay(f"{number}:{place}", name, place, window, shared, cost=number))
        if not ways:
            raise Unmade(f"{formula.name}: nothing in this kitchen does its stage {stage.key!r} ({_wanted(stage)})")
        return Step(
            f"{about}:{stage.part or formula.main}:{stage.key}", stage.kind, stage, batch, lot, pieces, tuple(ways)
        )

    def _hands(self, stage: Stage) -> tuple[Demand, ...]:
        attention = habits.attention_of(stage)
        if attention == "none":
            return ()
        if attention == "throughout":
            return (Demand(POOL),)
        start_s, end_s = habits.hands_s(stage)
        parts = (Part("first", self.clock.length(start_s)), Part("last", self.clock.length(end_s)))
        return tuple(Demand(POOL, 1, part) for part in parts if part.ticks)

    def _places(
        self, batch: Batch, lot: LotNeed | None, stage: Stage, way: Way
    ) -> Iterator[tuple[str, tuple[Demand, ...]]]:
        places = lot.tray_places if lot else math.ceil(batch.mass_g / self.kitchen.slab_mass_g)
        match way.place:
            case "mixer":
                for mixer in batch.mixers:
                    yield mixer, (Demand(mixer),)
                if not batch.mixers:
                    yield "by-hand", ((Demand(BENCH),) if self.equipment.bench_places else ())
            case "bench":
                yield BENCH, ((Demand(BENCH),) if self.equipment.bench_places else ())
            case "room" | "rack":
                on_rack = lot is not None and (lot.pans or way.place == "rack") and self.equipment.rack_places
                yield way.place, ((Demand(RACK, max(1, places)),) if on_rack else ())
            case "fridge" | "freezer":
                yield from self._cold_places(way, max(1, places), on_trays=lot is not None)
            case "proofer":
                for key, proofer in self.equipment.proofers.items():
                    if places <= proofer.tray_places:
                        yield key, (Demand(key, max(1, places)),)
            case "oven":
                for deck in self.equipment.decks.values():
                    yield from self._deck(deck, stage, max(1, places))

    def _cold_places(self, way: Way, places: int, on_trays: bool) -> Iterator[tuple[str, tuple[Demand, ...]]]:
        temper = self.clock.length(way.temper_s or 0)
        for key, cold in self.equipment.cold.items():
            if (cold.kind == "freezer") != (way.place == "freezer") or places > cold.tray_places:
                continue
            if not temper:
                yield key, (Demand(key, places),)
                continue
            out = (Demand(RACK, places, Part("last", temper)),) if on_trays and self.equipment.rack_places else ()
            yield key, (Demand(key, places, Part("but_last", temper)), *out)

    def _deck(self, deck: DeckOf, stage: Stage, places: int) -> Iterator[tuple[str, tuple[Demand, ...]]]:
        assert stage.set_temp_c is not None
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
            yield deck.id, (Demand(deck.id, places, states=states),)


def _panned_from(stages: Sequence[Stage]) -> int:
    for kinds in (("pan",), ("proof", "retard"), ("bake",)):
        for index, stage in enumerate(stages):
            if stage.kind in kinds:
                return index
    return len(stages)


def _pan_demand(formula: Formula, pans: int) -> tuple[Demand, ...]:
    return (Demand(formula.pan, pans),) if pans and formula.pan else ()


def _wanted(stage: Stage) -> str:
    if stage.kind == "bake":
        steam = ", with steam" if stage.steam else ""
        return f"an oven that reaches {stage.set_temp_c:g} °C{steam}, with enough tray places in one chamber"
    return f"a {habits.place_of(stage)} with enough places"
