"""The kitchen's equipment as resources of the engine: mixers, bench, cold places, proofers, oven decks, racks, pans."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from smallhours.bakery.formula.document import Stage
from smallhours.bakery.kitchen.document import Cold, Deck, Kitchen, Mixer, Oven, Pan, Proofer
from smallhours.planning.engine.problem import Resource
from smallhours.planning.shift.clock import Clock

BENCH = "bench"
RACK = "rack"
AN_HOUR_S = 3600.0
OPENINGS = ":openings"  # of a cold place: how often it is opened in an hour
DOOR = ":door"  # of a deck: what opens it while something in it wants it shut


@dataclass(frozen=True)
class DeckOf:
    """A deck and the oven it is in; ``id`` is what the plan calls it."""

    id: str
    oven: Oven
    deck: Deck

    @property
    def name(self) -> str:
        """What people call it: the oven, and the deck where there are several."""
        return f"{self.oven.name} {self.deck.id}" if len(self.oven.decks) > 1 else self.oven.name


@dataclass(frozen=True)
class Equipment:
    """A kitchen's equipment by plan id."""

    mixers: dict[str, Mixer]
    cold: dict[str, Cold]
    proofers: dict[str, Proofer]
    decks: dict[str, DeckOf]
    pans: dict[str, Pan]
    bench_places: int
    rack_places: int


def equipment_of(kitchen: Kitchen) -> Equipment:
    """Everything that work can stand in, on or wait for."""
    return Equipment(
        mixers={m.id: m for m in kitchen.mixers},
        cold={c.id: c for c in kitchen.cold},
        proofers={p.id: p for p in kitchen.proofers},
        decks={f"{o.id}.{d.id}": DeckOf(f"{o.id}.{d.id}", o, d) for o in kitchen.ovens for d in o.decks},
        pans={p.id: p for p in kitchen.pans},
        bench_places=sum(b.places for b in kitchen.benches),
        rack_places=sum(r.count * r.tray_places for r in kitchen.racks),
    )


def set_temps(stages: Iterable[Stage]) -> list[float]:
    """The set temperatures (°C) worth standing at: those the bakes name, and for two that could share an oven but
    name none in common, the multiple of 5 °C in between that both allow, if there is one."""
    bakes = [(s.set_temp_c, s.set_temp_give_k) for s in stages if s.kind == "bake" and s.set_temp_c is not None]
    temps = {temp_c for temp_c, _ in bakes}
    for (a_c, a_give_k), (b_c, b_give_k) in itertools.combinations(sorted(set(bakes)), 2):
        low, high = max(a_c - a_give_k, b_c - b_give_k), min(a_c + a_give_k, b_c + b_give_k)
        if low <= high and not any(low <= temp_c <= high for temp_c in temps):
            five = 5.0 * math.ceil(low / 5.0)
            if five <= high:
                temps.add(five)
    return sorted(temps)


def state_name(set_temp_c: float) -> str:
    """The engine's name for a set temperature."""
    return f"{set_temp_c:g}"


def change_s(oven: Oven, from_c: float, to_c: float) -> float:
    """Seconds to go from one set temperature to another, by this oven's own rates of heating and cooling."""
    rate = oven.heat_k_per_min if to_c > from_c else oven.cool_k_per_min
    return abs(to_c - from_c) / rate * 60.0


def resources(equipment: Equipment, set_temps_c: Sequence[float], clock: Clock) -> tuple[Resource, ...]:
    """All equipment as engine resources (people apart)."""
    found = [Resource(m) for m in equipment.mixers]
    if equipment.bench_places:
        found.append(Resource(BENCH, equipment.bench_places))
    if equipment.rack_places:
        found.append(Resource(RACK, equipment.rack_places))
    places: Iterable[tuple[str, Cold | Proofer]] = (*equipment.cold.items(), *equipment.proofers.items())
    found += [Resource(key, place.tray_places) for key, place in places]
    found += [Resource(key, pan.count) for key, pan in equipment.pans.items() if pan.count]
    found += [_deck(deck, set_temps_c, clock) for deck in equipment.decks.values()]
    found += [Resource(deck.id + DOOR, deck.deck.tray_places) for deck in equipment.decks.values() if deck.oven.steam]
    found += [Resource(k + OPENINGS, c.most_openings_per_h) for k, c in equipment.cold.items() if c.most_openings_per_h]
    return tuple(found)


def _deck(deck: DeckOf, set_temps_c: Sequence[float], clock: Clock) -> Resource:
    usable = [t for t in set_temps_c if t <= deck.oven.max_temp_c]
    change = {
        (state_name(a), state_name(b)): math.ceil(change_s(deck.oven, a, b) / clock.tick_s)
        for a in usable
        for b in usable
        if a != b
    }
    initial = {state_name(t): math.ceil(change_s(deck.oven, deck.oven.start_temp_c, t) / clock.tick_s) for t in usable}
    change |= {(state, state): ticks for state, ticks in initial.items()}  # off in between, and hot again
    return Resource(
        deck.id,
        deck.deck.tray_places,
        states=tuple(state_name(t) for t in usable),
        change=change,
        initial_change=initial,
    )
