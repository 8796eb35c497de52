"""A night varied: its documents as they would be if it were otherwise."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TypeVar

from smallhours.bakery.kitchen.document import DAYS, Deck, Hours, Kitchen, Mixer, Oven, Person
from smallhours.bakery.orders.document import MOST_PIECES, Order
from smallhours.bakery.shift.variation import Helper, Shift, Things, Variation, Wanted
from smallhours.errors import BadInput
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.restage import baked_at, one_way

T = TypeVar("T", bound=Mixer | Oven)
HELPER = "helper-"  # how the ids of helpers begin
WHO = "What if"  # orders what is only asked about
_DAY_S = 24 * 3600.0


def varied(given: Given, variation: Variation) -> Given:
    """The night as it would be. Raises BadInput for equipment, people, products or stages that are not there."""
    kitchen = given.kitchen
    for things in variation.things:
        kitchen = _more(kitchen, things)
    for name in variation.without:
        kitchen = _without(kitchen, name)
    for shift in variation.hours:
        kitchen = _shifted(kitchen, shift)
    for person in variation.ill:
        _known_person(kitchen, person)
        kitchen = kitchen.model_copy(update={"people": tuple(p for p in kitchen.people if p.id != person)})
    kitchen = kitchen.model_copy(update={"people": (*kitchen.people, *_helpers(kitchen, variation.helpers))})
    if variation.room_c is not None:
        warm = kitchen.temperatures.model_copy(update={"room_c": variation.room_c, "room_course": ()})
        kitchen = kitchen.model_copy(update={"temperatures": warm})
    orders, formulas = tuple(given.orders), dict(given.formulas)
    for wanted in variation.orders:
        orders = _reordered(orders, wanted, given)
    for way in variation.ways:
        formulas = one_way(formulas, way)
    for bake in variation.bakes:
        formulas = baked_at(formulas, bake)
    decks = dict(given.decks) | {kept.deck: kept.set_temp_c for kept in variation.decks}
    for name in decks:
        _known(name, (f"{oven.id}.{deck.id}" for oven in kitchen.ovens for deck in oven.decks), "deck")
    return replace(given, kitchen=kitchen, orders=orders, formulas=formulas, decks=tuple(sorted(decks.items())))


def _known(name: str, names: Iterable[str], what: str) -> None:
    known = sorted(names)
    if name not in known:
        raise BadInput(f"there is no {what} {name!r} in this kitchen (there is: {', '.join(known) or 'none'})")


def _known_person(kitchen: Kitchen, name: str) -> None:
    known = sorted(person.id for person in kitchen.people)
    if name not in known:
        raise BadInput(f"nobody is called {name!r} in this kitchen (there are: {', '.join(known)})")


def equipment_names(kitchen: Kitchen) -> list[str]:
    """What can be more or fewer, as it is named."""
    groups = (kitchen.mixers, kitchen.benches, kitchen.cold, kitchen.proofers, kitchen.ovens, kitchen.pans)
    decks = [f"{oven.id}.{deck.id}" for oven in kitchen.ovens for deck in oven.decks]
    return [thing.id for group in (*groups, kitchen.racks) for thing in group] + decks


def _more(kitchen: Kitchen, things: Things) -> Kitchen:
    """A kitchen with more or fewer of something."""
    name, by = things.equipment, things.by
    _known(name, equipment_names(kitchen), "equipment")
    if any(name == f"{oven.id}.{deck.id}" for oven in kitchen.ovens for deck in oven.decks):
        return _more_decks(kitchen, name, by)
    counted = {"cold": "tray_places", "proofers": "tray_places", "benches": "places", "pans": "count", "racks": "count"}
    for group, field in counted.items():
        found = {thing.id: thing for thing in getattr(kitchen, group)}
        if name in found:
            left = getattr(found[name], field) + by
            if left <= 0 and group != "pans":
                return _without(kitchen, name)
            found[name] = found[name].model_copy(update={field: max(0, left)})
            return kitchen.model_copy(update={group: tuple(found.values())})
    mixers = _copies(kitchen.mixers, name, by, _another_mixer)
    ovens = _copies(kitchen.ovens, name, by, _another_oven)
    return kitchen.model_copy(update={"mixers": mixers, "ovens": ovens})


def _copies(all_: Sequence[T], name: str, by: int, another: Callable[[T, int], T]) -> tuple[T, ...]:
    own = next((thing for thing in all_ if thing.id == name), None)
    if own is None:
        return tuple(all_)
    if by < 0:
        return tuple(thing for thing in all_ if thing is not own)
    taken = {thing.id for thing in all_}
    numbers = [n for n in range(2, by + 2 + len(all_)) if f"{name}-{n}" not in taken]
    return (*all_, *(another(own, number) for number in numbers[:by]))


def _another_mixer(mixer: Mixer, number: int) -> Mixer:
    return mixer.model_copy(update={"id": f"{mixer.id}-{number}", "name": f"{mixer.name} {number}"})


def _another_oven(oven: Oven, number: int) -> Oven:
    return oven.model_copy(update={"id": f"{oven.id}-{number}", "name": f"{oven.name} {number}"})


def _more_decks(kitchen: Kitchen, name: str, by: int) -> Kitchen:
    if by < 0:
        return _without(kitchen, name)
    oven_id, _, deck_id = name.partition(".")
    ovens = []
    for oven in kitchen.ovens:
        if oven.id == oven_id:
            places = next(deck.tray_places for deck in oven.decks if deck.id == deck_id)
            taken = {deck.id for deck in oven.decks}
            free = [f"{deck_id}-{n}" for n in range(2, by + 2 + len(taken)) if f"{deck_id}-{n}" not in taken]
            decks = (*oven.decks, *(Deck(id=new, tray_places=places) for new in free[:by]))
            oven = oven.model_copy(update={"decks": decks})
        ovens.append(oven)
    return kitchen.model_copy(update={"ovens": tuple(ovens)})


def _without(kitchen: Kitchen, name: str) -> Kitchen:
    """A kitchen in which a piece of equipment is not there (of pans: none of that kind)."""
    _known(name, equipment_names(kitchen), "equipment")
    groups = ("mixers", "benches", "cold", "proofers", "ovens", "racks")
    changed = {group: tuple(thing for thing in getattr(kitchen, group) if thing.id != name) for group in groups}
    ovens = []
    for oven in changed["ovens"]:
        decks = tuple(deck for deck in oven.decks if f"{oven.id}.{deck.id}" != name)
        if decks:
            ovens.append(oven.model_copy(update={"decks": decks}))
    pans = tuple(pan.model_copy(update={"count": 0}) if pan.id == name else pan for pan in kitchen.pans)
    return kitchen.model_copy(update={**changed, "ovens": tuple(ovens), "pans": pans})


def moved(time: dt.time, by_s: float) -> tuple[dt.time, int]:
    """A time of day moved, and by how many days it passed midnight."""
    seconds = time.hour * 3600 + time.minute * 60 + time.second + by_s
    days = math.floor(seconds / _DAY_S)
    rest = round(seconds - days * _DAY_S)
    return dt.time(rest // 3600 % 24, rest // 60 % 60, rest % 60), days


def _shifted(kitchen: Kitchen, shift: Shift) -> Kitchen:
    _known_person(kitchen, shift.person)
    people = [_at_other_hours(p, shift) if p.id == shift.person else p for p in kitchen.people]
    return kitchen.model_copy(update={"people": tuple(people)})


def _at_other_hours(person: Person, shift: Shift) -> Person:
    changed = tuple(piece for hours in person.hours for piece in _other_hours(person, hours, shift))
    return person.model_copy(update={"hours": changed})


def _other_hours(person: Person, hours: Hours, shift: Shift) -> Iterable[Hours]:
    """The hours moved; those that would begin a day earlier or later are on the days next to theirs."""
    start, days = moved(hours.start, shift.begin_s)
    end, _ = moved(hours.end, shift.end_s)
    length_s = _length_s(hours) + shift.end_s - shift.begin_s
    if length_s <= 0:
        raise BadInput(f"{person.name} would work less than no time from {start:%H:%M} to {end:%H:%M}")
    if length_s > _DAY_S:
        raise BadInput(f"{person.name} would work more than a day from {start:%H:%M} to {end:%H:%M}")
    named = tuple(DAYS[(DAYS.index(day) + days) % 7] for day in hours.days)
    yield hours.model_copy(update={"days": named, "start": start, "end": end})


def _length_s(hours: Hours) -> float:
    begin, end = (t.hour * 3600 + t.minute * 60 + t.second for t in (hours.start, hours.end))
    return end - begin if end > begin else end - begin + _DAY_S


def _helpers(kitchen: Kitchen, helpers: Sequence[Helper]) -> Iterable[Person]:
    taken = {person.id for person in kitchen.people}
    for number, helper in enumerate(helpers, 1):
        names = (f"{HELPER}{n}" for n in range(number, number + len(taken) + 1))
        free = next(name for name in names if name not in taken)
        hours = (Hours(start=helper.start, end=helper.end),)
        yield Person(id=free, name=helper.name, role="assistant", hours=hours)


def _reordered(orders: tuple[Order, ...], wanted: Wanted, given: Given) -> tuple[Order, ...]:
    """The orders with what is wanted otherwise, each in its place; one of which nothing is left stays with 0 pieces."""
    chosen = [number for number, order in enumerate(orders) if _is_wanted(order, wanted)]
    found = list(orders)
    if not chosen:
        return (*orders, _new_order(wanted, given))
    for number in chosen:
        order = found[number]
        pieces = min(MOST_PIECES - 1, math.ceil(order.pieces * wanted.times - 1e-9))
        found[number] = order.model_copy(update={"pieces": pieces, "due": wanted.new_due or order.due})
    most = max(chosen, key=lambda number: found[number].pieces)
    more = min(MOST_PIECES - 1, found[most].pieces + wanted.more)
    found[most] = found[most].model_copy(update={"pieces": more})
    left = wanted.fewer
    for number in sorted(chosen, key=lambda n: -found[n].pieces):
        fewer = min(left, found[number].pieces)
        found[number] = found[number].model_copy(update={"pieces": found[number].pieces - fewer})
        left -= fewer
    return tuple(found)


def _is_wanted(order: Order, wanted: Wanted) -> bool:
    return (
        wanted.product in (None, order.product)
        and wanted.customer in (None, order.customer)
        and wanted.due in (None, order.due)
    )


def _new_order(wanted: Wanted, given: Given) -> Order:
    due = wanted.due or wanted.new_due
    if wanted.product is None or due is None or not wanted.more:
        of = f"of {wanted.product!r}" if wanted.product else "like that"
        raise BadInput(
            f"nothing {of} is ordered for the night to {given.night}; to add an order, say its product, pieces and "
            "due time"
        )
    return Order(customer=wanted.customer or WHO, product=wanted.product, date=given.night, due=due, pieces=wanted.more)
