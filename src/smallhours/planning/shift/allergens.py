"""Which mixers and benches must be watched tonight: what holds an allergen and what has to be free from it may both
come to them. They stand in a state, the allergens that have touched them since they were cleaned last, and somebody's
hands clean them.

Only what somebody says tonight is followed, on mixers and benches. Work that neither holds it nor has to be free from
it is welcome in any state.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from smallhours.bakery.formula.document import Stage
from smallhours.bakery.kitchen.document import Bench, Kitchen
from smallhours.bakery.orders.batches import Batch, LotNeed
from smallhours.bakery.orders.keep_free import KeepFree
from smallhours.bakery.process import habits
from smallhours.planning.engine.problem import Demand, Resource
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import BENCH
from smallhours.planning.shift.people import POOL

WATCHED = ":allergens"
CLEAN = "clean"
_TOGETHER = "+"
Touching = tuple[Batch, LotNeed | None, Stage]


@dataclass(frozen=True)
class Watch:
    """What is watched: by mixer id (or ``bench`` for all benches), the states it may stand in."""

    keep: KeepFree = field(default_factory=KeepFree)
    states: Mapping[str, tuple[frozenset[str], ...]] = field(default_factory=dict)

    def ways(
        self, touching: Touching, place: str, target: str, kitchen: Kitchen
    ) -> tuple[tuple[str, tuple[Demand, ...]], ...]:
        """The places in which a step can be done where it would be done at ``place``, each with the state it needs.

        ``target``: the mixer, or ``bench``. What matters on benches is done at one of them, not just anywhere; what is
        mixed by hand, at the first.
        """
        allowed = self._allowed(touching, target)
        if allowed is None or (target == BENCH and not kitchen.benches):
            return ((place, ()),)
        if target != BENCH:
            return ((place, (Demand(target + WATCHED, states=allowed),)),)
        if len(kitchen.benches) == 1 or place != BENCH:
            return ((place, (Demand(kitchen.benches[0].id + WATCHED, states=allowed),)),)
        return tuple((bench_place(b, kitchen), (Demand(b.id + WATCHED, states=allowed),)) for b in kitchen.benches)

    def _allowed(self, touching: Touching, target: str) -> frozenset[str] | None:
        """The states in which a step may be there; None if any will do, or if it is not watched."""
        states = self.states.get(target)
        if states is None:
            return None
        holds = self.keep.holds(*touching) & states[-1]
        free = self.keep.free_from(*touching[:2])
        fits = [state for state in states if holds <= state and not state & free]
        return None if len(fits) == len(states) else frozenset(map(state_of, fits))

    def resources(self, kitchen: Kitchen, clock: Clock) -> tuple[Resource, ...]:
        """The states of what is watched, and what cleaning it takes: hands, and all of it."""
        found = []
        for mixer in kitchen.mixers:
            if mixer.id in self.states:
                ticks = clock.length(mixer.clean_s)
                found.append(_stateful(mixer.id, 1, self.states[mixer.id], ticks, Demand(mixer.id)))
        for bench in kitchen.benches if BENCH in self.states else ():
            all_of_it = Demand(BENCH, bench.places)
            found.append(_stateful(bench.id, bench.places, self.states[BENCH], clock.length(bench.clean_s), all_of_it))
        return tuple(found)


def bench_of(resource_id: str, kitchen: Kitchen) -> Bench | None:
    """The one of several benches whose state an engine's resource is; None for anything else."""
    if len(kitchen.benches) < 2:
        return None
    return next((bench for bench in kitchen.benches if bench.id + WATCHED == resource_id), None)


def watch(keep: KeepFree, touching: Iterable[Touching]) -> Watch:
    """What has to be watched, from everything that is done tonight."""
    if not keep.claimed:
        return Watch()
    holding: dict[str, set[frozenset[str]]] = {}
    freeing: dict[str, set[str]] = {}
    for batch, lot, stage in touching:
        holds, free = keep.holds(batch, lot, stage), keep.free_from(batch, lot)
        for target in _targets(batch, stage):
            holding.setdefault(target, set()).add(holds)
            freeing.setdefault(target, set()).update(free)
    states = {}
    for target, held in holding.items():
        touched = {holds & freeing[target] for holds in held} - {frozenset()}
        if touched:
            states[target] = _unions(touched)
    return Watch(keep, states)


def state_of(allergens: Iterable[str]) -> str:
    """The engine's name for the state of a mixer or bench that these allergens have touched.

    >>> state_of(()), state_of({"sesame", "nuts"})
    ('clean', 'nuts+sesame')
    """
    return _TOGETHER.join(sorted(allergens)) or CLEAN


def allergens_in(state: str | None) -> frozenset[str]:
    """The allergens in a state, from its name.

    >>> sorted(allergens_in("nuts+sesame")), sorted(allergens_in("clean"))
    (['nuts', 'sesame'], [])
    """
    return frozenset(() if state in (None, CLEAN) else str(state).split(_TOGETHER))


def bench_place(bench: Bench, kitchen: Kitchen) -> str:
    """What a plan calls one bench, which must differ from what it calls all of them."""
    return f"{bench.id}-1" if bench.id == BENCH else bench.id


def _targets(batch: Batch, stage: Stage) -> tuple[str, ...]:
    places = {habits.place_of(stage), *(way.place for way in stage.instead)}
    found: list[str] = []
    if "mixer" in places:
        found += batch.mixers or (BENCH,)
    if "bench" in places:
        found.append(BENCH)
    return tuple(dict.fromkeys(found))


def _unions(touched: Iterable[frozenset[str]]) -> tuple[frozenset[str], ...]:
    """Clean, and everything that some of them make together; all of it last."""
    found = {frozenset[str]()}
    for one in touched:
        found |= {one | other for other in found}
    return tuple(sorted(found, key=lambda state: (len(state), sorted(state))))


def _stateful(
    name: str, capacity: int, states: Sequence[frozenset[str]], clean_ticks: int, all_of_it: Demand
) -> Resource:
    change = {(state_of(s), state_of(t)): 0 if s <= t else clean_ticks for s in states for t in states if s != t}
    return Resource(
        name + WATCHED,
        capacity,
        states=tuple(map(state_of, states)),
        change=change,
        initial_state=CLEAN,
        change_demands=(Demand(POOL), all_of_it),
    )
