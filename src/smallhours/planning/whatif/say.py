"""A variation in words, as bakers would say it to one another."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.document import Kitchen, Person
from smallhours.bakery.orders.products import finder
from smallhours.bakery.quantity import say_set_temp, write_duration
from smallhours.bakery.shift.variation import Helper, Shift, Things, Variation, Wanted
from smallhours.planning.whatif.document import Cost
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.varied import moved

_PLACES = {"cold": "tray place", "proofers": "tray place", "benches": "place"}


def said(variation: Variation, given: Given) -> str:
    """What a variation changes, one short sentence without its full stop.

    Source: none: words of our own.
    """
    parts = list(_parts(variation, given))
    if not parts:
        return "Nothing else"
    whole = " and ".join(parts)
    return whole[0].upper() + whole[1:]


def _parts(variation: Variation, given: Given) -> Iterator[str]:
    kitchen = given.kitchen
    yield from (_things(things, kitchen) for things in variation.things)
    yield from (f"do without {named(kitchen, name)}" for name in variation.without)
    yield from (words for shift in variation.hours for words in _hours(shift, kitchen))
    yield from (_helper(helper) for helper in variation.helpers)
    yield from (f"{_person(kitchen, name)} does not come" for name in variation.ill)
    if variation.room_c is not None:
        yield f"a room of {variation.room_c:g} °C"
    yield from (words for wanted in variation.orders for words in _orders(wanted, given))
    yield from (_way(each.product, each.stage, each.place, given.formulas) for each in variation.ways)
    yield from (f"keep {named(kitchen, each.deck)} at {say_set_temp(each.set_temp_c)}" for each in variation.decks)
    for bake in variation.bakes:
        length = write_duration(60 * round(bake.duration_s / 60))
        yield f"bake {_product(bake.product, given.formulas)} at {say_set_temp(bake.set_temp_c)} for {length}"


def named(kitchen: Kitchen, name: str) -> str:
    """What people call a piece of equipment."""
    groups = (kitchen.mixers, kitchen.benches, kitchen.cold, kitchen.proofers, kitchen.ovens, kitchen.pans)
    for thing in (thing for group in (*groups, kitchen.racks) for thing in group):
        if thing.id == name:
            return str(thing.name)
    for oven in kitchen.ovens:
        for deck in oven.decks:
            if name == f"{oven.id}.{deck.id}":
                return f"{oven.name} {deck.id}" if len(oven.decks) > 1 else oven.name
    return name


def _things(things: Things, kitchen: Kitchen) -> str:
    number, word = abs(things.by), "more" if things.by > 0 else "fewer"
    for group, unit in _PLACES.items():
        if any(thing.id == things.equipment for thing in getattr(kitchen, group)):
            where = "at" if group == "benches" else "in"
            plural = "" if number == 1 else "s"
            return f"{_number(number)} {word} {unit}{plural} {where} the {named(kitchen, things.equipment)}"
    return f"{_number(number)} {word} of {named(kitchen, things.equipment)}"


def _number(number: int) -> str:
    return "one" if number == 1 else str(number)


def _person(kitchen: Kitchen, name: str) -> str:
    return next((person.name for person in kitchen.people if person.id == name), name)


def _hours(shift: Shift, kitchen: Kitchen) -> Iterator[str]:
    person = next((p for p in kitchen.people if p.id == shift.person), None)
    name = shift.person if person is None else person.name
    if shift.begin_s:
        word = "earlier" if shift.begin_s < 0 else "later"
        yield f"start {name} {write_duration(abs(shift.begin_s))} {word}{_from(person, shift)}"
    if shift.end_s:
        length = write_duration(abs(shift.end_s))
        yield f"{name} stays {length} longer" if shift.end_s > 0 else f"{name} leaves {length} earlier"


def _from(person: Person | None, shift: Shift) -> str:
    starts = {hours.start for hours in person.hours} if person is not None else set()
    if len(starts) != 1:
        return ""
    at, _ = moved(next(iter(starts)), shift.begin_s)
    return f" (at {at:%H:%M})"


def _helper(helper: Helper) -> str:
    return f"one more pair of hands from {helper.start:%H:%M} to {helper.end:%H:%M}"


def _orders(wanted: Wanted, given: Given) -> Iterator[str]:
    product = "everything" if wanted.product is None else _product(wanted.product, given.formulas)
    whose = f" for {wanted.customer}" if wanted.customer else ""
    at = f" due at {wanted.due:%H:%M}" if wanted.due else ""
    if wanted.times != 1.0:
        yield f"{wanted.times:g} times as much of {product}{whose}{at}"
    if wanted.more:
        yield f"{wanted.more} pieces more of {product}{whose}{at}"
    if wanted.fewer:
        yield f"make {wanted.fewer} {_pieces(wanted.fewer)} fewer of {product}{whose}{at}"
    if wanted.new_due:
        yield f"hand over {product}{whose}{at} at {wanted.new_due:%H:%M} instead"


def _pieces(number: int) -> str:
    return "piece" if number == 1 else "pieces"


def _product(name: str, formulas: Mapping[str, Formula]) -> str:
    return formulas[name].name if name in formulas else name


def _way(product: str, stage: str, place: str, formulas: Mapping[str, Formula]) -> str:
    name = _product(product, formulas)
    kinds = {}
    if product in formulas:
        kinds = {each.key: each.kind for each in joined(formulas[product], finder(formulas)).stages}
    if place == "fridge" and kinds.get(stage) in ("proof", "retard"):
        return f"retard {name} in the fridge"
    return f"do the {stage} of {name} in the {place} only"


def costs_said(cost: Cost) -> str:
    """What a change costs, as far as it is worth saying (from five minutes on)."""
    told = []
    for seconds, what in ((cost.people_s, "of people"), (cost.oven_s, "of ovens")):
        minutes = round(seconds / 60)
        if abs(minutes) >= 5:
            word = "more" if minutes > 0 else "less"
            told.append(f"{write_duration(abs(minutes) * 60)} {word} {what}")
    return ", ".join(told)
