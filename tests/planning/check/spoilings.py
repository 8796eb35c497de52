"""Every way to spoil a plan that nobody may overlook: what was a good plan is wrong after each of them.

A spoiling is a name and a change of the plan's plain data. ``every(plan)`` goes through all of them, task by task, use
by use, person by person; none of them can leave the plan good.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

Json = dict[str, Any]
_ASIDE = ("pans-cool", "pans-wait", "clean")


@dataclass(frozen=True)
class Spoiling:
    """One change of a plan, by name."""

    name: str
    apply: Callable[[Json], None]


def every(plan: Json) -> Iterator[Spoiling]:
    """All spoilings of a plan."""
    for of in (_tasks, _uses, _hands, _windows, _links, _ovens, _people, _orders, _batches, _lots, _resources, _whole):
        for name, change in of(plan):
            yield Spoiling(f"{of.__name__[1:]}: {name}", change)


def moved(text: str, by_min: float) -> str:
    """An instant some minutes later."""
    return (dt.datetime.fromisoformat(text) + dt.timedelta(minutes=by_min)).isoformat().replace("+00:00", "Z")


def minutes_between(start: str, end: str) -> float:
    """Minutes from one instant to another."""
    return (dt.datetime.fromisoformat(end) - dt.datetime.fromisoformat(start)).total_seconds() / 60


def shift(task: Json, by_min: float) -> None:
    """Move a task with all that it uses."""
    for piece in (task, *task["uses"], *task["hands"]):
        piece["start"], piece["end"] = moved(piece["start"], by_min), moved(piece["end"], by_min)


Changes = Iterator[tuple[str, Callable[[Json], None]]]


def _at(steps: tuple[str | int, ...], change: Callable[[Any], None], plan: Json) -> None:
    node: Any = plan
    for step in steps:
        node = node[step]
    change(node)


def _put(key: str, value: Any, node: Json) -> None:
    node[key] = value


def _drop(index: int, node: list[Any]) -> None:
    del node[index]


def put(steps: tuple[str | int, ...], key: str, value: Any) -> Callable[[Json], None]:
    """Set one field to another value."""
    return partial(_at, steps, partial(_put, key, value))


def drop(steps: tuple[str | int, ...], index: int) -> Callable[[Json], None]:
    """Leave one item of a list out."""
    return partial(_at, steps, partial(_drop, index))


def _strand(plan: Json, task: Json) -> list[Json]:
    of = task["lot"] or task["batch"]
    own = [t for t in plan["tasks"] if (t["lot"] or t["batch"]) == of and t["kind"] not in _ASIDE]
    return sorted(own, key=lambda t: (t["start"], t["end"]))


def _tasks(plan: Json) -> Changes:
    places = [r["id"] for r in plan["resources"] if r["kind"] != "people"]
    for i, task in enumerate(plan["tasks"]):
        at, name = ("tasks", i), task["id"]
        yield f"{name} left out", drop(("tasks",), i)
        yield f"{name} twice", lambda p, i=i: p["tasks"].append(p["tasks"][i])
        yield f"{name} of no batch", put(at, "batch", "nobodys.dough.9")
        yield f"{name} of a lot that is not there", put(at, "lot", "nothing.lot.9")
        yield f"{name} backwards", put(at, "end", moved(task["start"], -1))
        yield f"{name} in local time", put(at, "start", task["start"].replace("Z", "+02:00"))
        yield f"{name} without an offset", put(at, "start", task["start"].removesuffix("Z"))
        yield f"{name} a day later", partial(_at, at, partial(shift, by_min=24 * 60))
        if task["kind"] in _ASIDE:
            continue
        yield f"{name} somewhere unknown", put(at, "place", "attic")
        yield f"{name} another stage", put(at, "stage", "polish")
        yield f"{name} another kind", put(at, "kind", "pack" if task["kind"] != "pack" else "weigh")
        yield f"{name} of another length", put(at, "end", moved(task["end"], 13 * 60))
        yield f"{name} with steam", put(at, "steam", not task["steam"])
        yield f"{name} with a piece more", put(at, "pieces", (task["pieces"] or 0) + 1)
        for place in places:
            if place != task["place"] and place not in {use["resource"] for use in task["uses"]}:
                yield f"{name} in {place}", put(at, "place", place)
        own = _strand(plan, task)
        number = next(n for n, t in enumerate(own) if t["id"] == name)
        if number:
            gap = minutes_between(own[number - 1]["end"], task["start"])
            yield f"{name} before the stage before it ends", partial(_at, at, partial(shift, by_min=-gap - 1))
        if number + 1 < len(own):
            gap = minutes_between(task["end"], own[number + 1]["start"])
            yield f"{name} into the stage after it", partial(_at, at, partial(shift, by_min=gap + 1))
        if task["attention"] != "none":
            yield f"{name} by nobody", put(at, "hands", [])
        elif minutes_between(task["start"], task["end"]) > 0:
            yield f"{name} wants hands", put(at, "attention", "throughout")
        if task["kind"] == "bake":
            yield from _bakes(at, task)


def _bakes(at: tuple[str, int], task: Json) -> Changes:
    for by in (-10, -1, 1, 10):
        yield f"{task['id']} at {by} °C", put(at, "set_temp_c", task["set_temp_c"] + by)
    yield f"{task['id']} without a temperature", put(at, "set_temp_c", None)


def _uses(plan: Json) -> Changes:
    capacities = {r["id"]: r["capacity"] for r in plan["resources"]}
    for i, task in enumerate(plan["tasks"]):
        for j, use in enumerate(task["uses"]):
            at, name = ("tasks", i, "uses", j), f"{task['id']} {use['resource']}"
            yield f"{name} not used", drop(("tasks", i, "uses"), j)
            yield f"{name} more than there is", put(at, "amount", capacities[use["resource"]] + 1)
            yield f"{name} less than needed", put(at, "amount", use["amount"] - 1)
            yield f"{name} used afterwards", put(at, "end", moved(task["end"], 1))
            yield f"{name} used before", put(at, "start", moved(task["start"], -1))
            yield f"{name} from something else", put(at, "resource", "attic")
            yield f"{name} let go at once", put(at, "end", use["start"])


def _hands(plan: Json) -> Changes:
    there = [person["id"] for person in plan["people"]]
    held = [(h["person"], h["start"], h["end"]) for t in plan["tasks"] for h in t["hands"]]
    for i, task in enumerate(plan["tasks"]):
        for j, hands in enumerate(task["hands"]):
            at, name = ("tasks", i, "hands", j), f"{task['id']} {hands['person']}"
            yield f"{name} gone", drop(("tasks", i, "hands"), j)
            yield f"{name} a minute too short", put(at, "start", moved(hands["start"], 1))
            yield f"{name} gone too soon", put(at, "end", moved(hands["end"], -1))
            yield f"{name} too long", put(at, "end", moved(task["end"], 1))
            yield f"{name} is somebody else", put(at, "person", "zoe")
            for other in there:
                hours = next(p["hours"] for p in plan["people"] if p["id"] == other)
                away = not any(h["start"] <= hands["start"] and hands["end"] <= h["end"] for h in hours)
                busy = any(w == other and s < hands["end"] and hands["start"] < e for w, s, e in held)
                if other != hands["person"] and (away or busy):
                    yield f"{name} is {other}, who cannot", put(at, "person", other)


def _windows(plan: Json) -> Changes:
    for i, task in enumerate(plan["tasks"]):
        at, name = ("tasks", i, "window"), task["id"]
        length_s = minutes_between(task["start"], task["end"]) * 60
        yield f"{name} shorter", put(at, "max_s", length_s - 60)
        yield f"{name} longer", put(at, "min_s", length_s + 60)
        yield f"{name} wanted otherwise", put(at, "preferred_s", task["window"]["max_s"] + 60)


def _links(plan: Json) -> Changes:
    sides = {t["id"]: t for t in plan["tasks"]}
    for i, link in enumerate(plan["links"]):
        at, name = ("links", i), f"{link['before']} > {link['after']}"
        start, end = sides[link["before"]][link["before_side"]], sides[link["after"]][link["after_side"]]
        gap_s = minutes_between(start, end) * 60
        yield f"{name} wants more", put(at, "min_s", gap_s + 60)
        yield f"{name} bears less", put(at, "max_s", gap_s - 60)
        yield f"{name} to nothing", put(at, "after", "nothing")
        if link["rule"] == "stages_follow_on":
            yield f"{name} gone", drop(("links",), i)


def _ovens(plan: Json) -> Changes:
    baked = [t for t in plan["tasks"] if t["set_temp_c"] is not None and t["kind"] == "bake"]
    for i, stretch in enumerate(plan["ovens"]):
        at, name = ("ovens", i), f"{stretch['deck']} {stretch['set_temp_c']:g}"
        inside = [t for t in baked if t["place"] == stretch["deck"] and stretch["start"] <= t["start"] < stretch["end"]]
        yield f"{name} backwards", put(at, "end", moved(stretch["heat_from"], -1))
        yield f"{name} of another deck", put(at, "deck", "attic")
        if inside:
            last = max(t["end"] for t in inside)
            yield f"{name} gone", drop(("ovens",), i)
            yield f"{name} hotter", put(at, "set_temp_c", stretch["set_temp_c"] + 5)
            yield f"{name} over too soon", put(at, "end", moved(last, -1))
            yield f"{name} begun too late", put(at, "start", moved(min(t["start"] for t in inside), 1))
        if stretch["heat_from"] < stretch["start"]:
            yield f"{name} heated too late", put(at, "heat_from", moved(stretch["heat_from"], 1))
            yield f"{name} hot at once", put(at, "heat_from", stretch["start"])
        for other in plan["ovens"]:
            if other["deck"] == stretch["deck"] and stretch["end"] <= other["heat_from"]:
                yield f"{name} while it changes", put(at, "end", moved(other["heat_from"], 1))
                break


def _people(plan: Json) -> Changes:
    held = [h for t in plan["tasks"] for h in t["hands"]]
    for i, person in enumerate(plan["people"]):
        at, name = ("people", i), person["id"]
        yield f"{name} is somebody else", put(at, "id", "zoe")
        for j, hours in enumerate(person["hours"]):
            there = ("people", i, "hours", j)
            own = [h for h in held if h["person"] == name and hours["start"] <= h["start"] < hours["end"]]
            if own:
                yield f"{name} not there", drop(("people", i, "hours"), j)
                yield f"{name} comes later", put(there, "start", moved(min(h["start"] for h in own), 1))
                yield f"{name} goes sooner", put(there, "end", moved(max(h["end"] for h in own), -1))
            yield f"{name} stays longer than the kitchen says", put(there, "end", moved(hours["end"], 30))
        for j, pause in enumerate(person["breaks"]):
            there = ("people", i, "breaks", j)
            yield f"{name} has no pause", drop(("people", i, "breaks"), j)
            yield f"{name} has a short pause", put(there, "end", moved(pause["end"], -1))
            yield f"{name} has a pause at another time", partial(_at, there, partial(_moved_piece, by_min=5 * 60))
            for hands in held:
                if hands["person"] == name:
                    over = {"start": hands["start"], "end": hands["end"], "capacity": 0}
                    yield f"{name} has a pause at work", partial(_at, ("people", i, "breaks"), partial(_put, j, over))
                    break


def _moved_piece(piece: Json, by_min: float) -> None:
    piece["start"], piece["end"] = moved(piece["start"], by_min), moved(piece["end"], by_min)


def _orders(plan: Json) -> Changes:
    for i, order in enumerate(plan["orders"]):
        at, name = ("orders", i), f"{order['customer']} {order['product']}"
        yield f"{name} forgotten", drop(("orders",), i)
        yield f"{name} for somebody else", put(at, "customer", "Nobody")
        yield f"{name} of something else", put(at, "product", "cake")
        yield f"{name} has another number", put(at, "pieces", order["pieces"] + 1)
        for by in (-60, -1, 1, 60):
            yield f"{name} due {by} min off", put(at, "due", moved(order["due"], by))
            yield f"{name} ready {by} min off", put(at, "ready", moved(order["ready"], by))
        yield f"{name} never ready", put(at, "ready", None)
        yield f"{name} said late", put(at, "late_s", order["late_s"] + 60)
        for j, share in enumerate(order["lots"]):
            yield f"{name} loses a lot", drop(("orders", i, "lots"), j)
            yield f"{name} loses a piece", put(("orders", i, "lots", j), "pieces", share["pieces"] - 1)
            yield f"{name} from no lot", put(("orders", i, "lots", j), "lot", "nothing.lot.9")
            others = [lot["id"] for b in plan["batches"] for lot in b["lots"] if lot["id"] != share["lot"]]
            for other in others[:2]:
                yield f"{name} from {other}", put(("orders", i, "lots", j), "lot", other)


def _batches(plan: Json) -> Changes:
    for i, batch in enumerate(plan["batches"]):
        at, name = ("batches", i), batch["id"]
        yield f"{name} forgotten", drop(("batches",), i)
        yield f"{name} too heavy", put(at, "mass_g", 1e6)
        yield f"{name} too light", put(at, "mass_g", 1.0)
        yield f"{name} all flour", put(at, "flour_g", batch["mass_g"] + 100)
        yield f"{name} in no mixer of the kitchen", put(at, "mixer", "fork")
        yield f"{name} of another formula", put(at, "formula", "cake")
        yield f"{name} feeds nothing known", put(at, "feeds", ["nothing.dough.9"])
        for j, _ in enumerate(batch["feeds"]):
            yield f"{name} feeds less", drop(("batches", i, "feeds"), j)
        if batch["mixer"]:
            yield f"{name} by hand", put(at, "mixer", None)


def _lots(plan: Json) -> Changes:
    for i, batch in enumerate(plan["batches"]):
        for j, lot in enumerate(batch["lots"]):
            at, name = ("batches", i, "lots", j), lot["id"]
            yield f"{name} forgotten", drop(("batches", i, "lots"), j)
            yield f"{name} a piece more", put(at, "pieces", lot["pieces"] + 1)
            yield f"{name} a piece less", put(at, "pieces", lot["pieces"] - 1)
            yield f"{name} light pieces", put(at, "piece_mass_g", lot["piece_mass_g"] / 2)
            yield f"{name} due later", put(at, "due", moved(lot["due"], 30))
            yield f"{name} ready sooner", put(at, "ready", moved(lot["ready"], -5))
            yield f"{name} never ready", put(at, "ready", None)
            yield f"{name} of another product", put(at, "product", "cake")
            yield f"{name} takes less room", put(at, "tray_places", lot["tray_places"] - 1)
            if lot["pan"]:
                yield f"{name} in fewer pans", put(at, "pans", lot["pans"] - 1)
                yield f"{name} in no pan", put(at, "pan", None)


def _resources(plan: Json) -> Changes:
    used = {use["resource"] for task in plan["tasks"] for use in task["uses"]}
    for i, resource in enumerate(plan["resources"]):
        at, name = ("resources", i), resource["id"]
        yield f"{name} twice", lambda p, i=i: p["resources"].append(p["resources"][i])
        if resource["kind"] == "people":
            yield f"{name} a person more", lambda p, i=i: _more_people(p["resources"][i])
            yield f"{name} nobody", lambda p, i=i: _nobody(p["resources"][i])
            continue
        yield f"{name} more than the kitchen has", put(at, "capacity", resource["capacity"] + 1)
        yield f"{name} of another kind", put(at, "kind", "press")
        if name in used:
            yield f"{name} none", put(at, "capacity", 0)
            yield f"{name} not there", drop(("resources",), i)
        if resource["change_s"] and name in {s["deck"] for s in plan["ovens"]}:
            yield f"{name} without changes", put(at, "change_s", {})
            slow = dict.fromkeys(resource["change_s"], 10 * 3600.0)
            yield f"{name} slower", put(at, "change_s", slow)


def _more_people(pool: Json) -> None:
    for piece in pool["calendar"]:
        piece["capacity"] += 1


def _nobody(pool: Json) -> None:
    for piece in pool["calendar"]:
        piece["capacity"] = 0


def allergens(plan: Json) -> Iterator[Spoiling]:
    """The spoilings of a plan in which something is cleaned of an allergen."""
    for name, change in (*_cleanings(plan), *_traces(plan)):
        yield Spoiling(f"allergens: {name}", change)


def _cleanings(plan: Json) -> Changes:
    for i, task in enumerate(plan["tasks"]):
        if task["kind"] != "clean":
            continue
        at, name = ("tasks", i), task["id"]
        yield f"{name} left out", drop(("tasks",), i)
        yield f"{name} of something else", put(at, "holds", ["sesame"])
        yield f"{name} elsewhere", partial(_at, at, _in_the_attic)
        yield f"{name} by nobody", put(at, "hands", [])
        yield f"{name} without hands", partial(_at, at, _unattended)
        yield f"{name} a minute short", partial(_at, at, _cut_short)
        after = min(t["start"] for t in plan["tasks"] if t["place"] == task["place"] and t["free_from"] and t != task)
        yield f"{name} too late", partial(_at, at, partial(shift, by_min=minutes_between(task["end"], after) + 1))
        before = max(t["end"] for t in plan["tasks"] if t["place"] == task["place"] and t["holds"] and t != task)
        yield f"{name} too soon", partial(_at, at, partial(shift, by_min=minutes_between(task["start"], before) - 1))
        for j, use in enumerate(task["uses"]):
            yield f"{name} of a part of it", put((*at, "uses", j), "amount", use["amount"] - 1)


def _in_the_attic(task: Json) -> None:
    task["place"], task["uses"] = "room", []


def _unattended(task: Json) -> None:
    task["attention"], task["hands"] = "none", []


def _cut_short(task: Json) -> None:
    for piece in (task, *task["uses"], *task["hands"]):
        piece["end"] = moved(piece["end"], -1)
    for key in ("min_s", "preferred_s", "max_s"):
        task["window"][key] -= 60


def _traces(plan: Json) -> Changes:
    for i, task in enumerate(plan["tasks"]):
        at, name = ("tasks", i), task["id"]
        if task["kind"] in _ASIDE:
            continue
        if task["free_from"]:
            yield f"{name} with nuts in it", put(at, "holds", ["nuts"])
            yield f"{name} kept free from nothing", put(at, "free_from", [])
        own = _strand(plan, task)
        if task["holds"] and (task["id"] == own[-1]["id"] or own[0]["holds"]) and task["id"] != own[0]["id"]:
            yield f"{name} says nothing of its nuts", put(at, "holds", [])


def _whole(plan: Json) -> Changes:
    starts, ends = [t["start"] for t in plan["tasks"]], [t["end"] for t in plan["tasks"]]
    yield "begins after its first task", put((), "horizon_start", moved(min(starts), 1))
    yield "ends before its last task", put((), "horizon_end", moved(max(ends), -1))
    yield "another night", put((), "night", "2026-01-01")
    yield "another time zone", put((), "timezone", "Europe/Madrid")
    yield "no time zone", put((), "timezone", "Nowhere")
    yield "no tick", put((), "tick_s", 0)
    yield "no tasks", put((), "tasks", [])
    yield "no batches", put((), "batches", [])
    yield "no orders", put((), "orders", [])
    yield "no people", put((), "people", [])
    yield "no ovens", put((), "ovens", [])
    yield "no resources", put((), "resources", [])
    yield "another schema", put((), "schema_name", "smallhours.plan/2")
    for i, level in enumerate(plan["objective"]):
        yield f"level {i} under its bound", put(("objective", i), "bound", level["value"] + 1)
    yield "a field nobody knows", put((), "colour", "green")
