"""An outsider's check of a plan, from its JSON alone: it knows the document's field names and nothing of what made it.

``violations(plan)`` goes through everything a baker could find wrong with the sheet in her hand and says each in a
sentence that begins with its kind: ``horizon``, ``instant``, ``window``, ``link``, ``capacity``, ``hands``, ``oven``,
``pieces``, ``ready``, ``late``, ``chain``, ``mixer``, ``names``.
"""

from __future__ import annotations

import datetime as dt
import itertools
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

Json = Mapping[str, Any]
_INSTANTS = ("start", "end", "due", "ready", "heat_from", "made_at", "horizon_start", "horizon_end", "at")
_DIVIDES = ("divide", "fill", "roll", "slice", "shape", "pan")


def violations(plan: Json, kitchen: Json | None = None) -> list[str]:
    """Everything that is wrong with a plan; empty for a good one. ``kitchen``: for the mixers' limits."""
    found = list(_instants(plan, "plan"))
    if found:
        return found  # the checks below compare instants
    for check in (_names, _horizon, _windows, _links, _capacities, _hands_present, _hands_covered, _ovens, _bakes,
                  _pieces, _ready, _chains):  # fmt: skip
        found += check(plan)
    if kitchen is not None:
        found += _mixers(plan, kitchen)
    return found


def seconds(text: str) -> float:
    """An instant of the document as seconds since 1970."""
    return dt.datetime.fromisoformat(text.replace("Z", "+00:00")).timestamp()


def _instants(node: Any, where: str) -> Iterator[str]:
    if isinstance(node, Mapping):
        for key, value in node.items():
            if key in _INSTANTS and isinstance(value, str):
                read = dt.datetime.fromisoformat(value.replace("Z", "+00:00"))
                if read.utcoffset() != dt.timedelta(0):
                    yield f"instant: {where}.{key} = {value} is not in UTC"
            else:
                yield from _instants(value, f"{where}.{key}")
    elif isinstance(node, list | tuple):
        for index, value in enumerate(node):
            yield from _instants(value, f"{where}[{index}]")


def _names(plan: Json) -> Iterator[str]:
    tasks = Counter(task["id"] for task in plan["tasks"])
    for name, count in tasks.items():
        if count > 1:
            yield f"names: task {name} is there {count} times"
    lots = {lot["id"] for batch in plan["batches"] for lot in batch["lots"]}
    batches = {batch["id"] for batch in plan["batches"]}
    resources = {resource["id"] for resource in plan["resources"]}
    for task in plan["tasks"]:
        if task["batch"] not in batches or (task["lot"] is not None and task["lot"] not in lots):
            yield f"names: task {task['id']} belongs to no batch or lot of the plan"
        for use in task["uses"]:
            if use["resource"] not in resources:
                yield f"names: task {task['id']} uses {use['resource']}, which is not listed"
    for link in plan["links"]:
        for side in ("before", "after"):
            if link[side] not in tasks:
                yield f"names: a link names {link[side]}, which is no task"


def _horizon(plan: Json) -> Iterator[str]:
    first, last = seconds(plan["horizon_start"]), seconds(plan["horizon_end"])
    for task in plan["tasks"]:
        start, end = seconds(task["start"]), seconds(task["end"])
        if not first <= start <= end <= last:
            yield f"horizon: task {task['id']} runs from {task['start']} to {task['end']}"
    for stretch in plan["ovens"]:
        if not first <= seconds(stretch["heat_from"]) <= seconds(stretch["start"]) <= seconds(stretch["end"]) <= last:
            yield f"horizon: {stretch['deck']} at {stretch['set_temp_c']} runs backwards or outside"


def _windows(plan: Json) -> Iterator[str]:
    for task in plan["tasks"]:
        length, window = seconds(task["end"]) - seconds(task["start"]), task["window"]
        if not window["min_s"] - plan["tick_s"] < length < window["max_s"] + plan["tick_s"]:
            yield f"window: task {task['id']} takes {length} s, allowed {window['min_s']} to {window['max_s']}"
        if not window["min_s"] <= window["preferred_s"] <= window["max_s"]:
            yield f"window: task {task['id']} wants a length outside its own window"


def _links(plan: Json) -> Iterator[str]:
    tasks = {task["id"]: task for task in plan["tasks"]}
    for link in plan["links"]:
        if link["before"] not in tasks or link["after"] not in tasks:
            continue
        gap = seconds(tasks[link["after"]][link["after_side"]]) - seconds(tasks[link["before"]][link["before_side"]])
        if gap < link["min_s"] or (link["max_s"] is not None and gap > link["max_s"]):
            yield (
                f"link: {link['after']} {link['after_side']} is {gap} s after {link['before']} {link['before_side']}, "
                f"allowed {link['min_s']} to {link['max_s']} ({link['rule']})"
            )


def _capacities(plan: Json) -> Iterator[str]:
    uses: dict[str, list[tuple[float, float, int]]] = defaultdict(list)
    for task in plan["tasks"]:
        for use in task["uses"]:
            start, end = seconds(use["start"]), seconds(use["end"])
            uses[use["resource"]].append((start, end, use["amount"]))
            if not seconds(task["start"]) <= start <= end <= seconds(task["end"]):
                yield f"capacity: task {task['id']} uses {use['resource']} outside its own time"
        for hands in task["hands"]:
            uses["people"].append((seconds(hands["start"]), seconds(hands["end"]), 1))
    for person in plan["people"]:
        for pause in person["breaks"]:
            uses["people"].append((seconds(pause["start"]), seconds(pause["end"]), 1))
    for resource in plan["resources"]:
        pieces = [(seconds(p["start"]), seconds(p["end"]), p["capacity"]) for p in resource["calendar"]]
        mine = uses[resource["id"]]
        for at in sorted({t for a, b, _ in (*mine, *pieces) for t in (a, b)}):
            there = next((c for a, b, c in pieces if a <= at < b), resource["capacity"])
            used = sum(amount for a, b, amount in mine if a <= at < b)
            if used > there:
                instant = dt.datetime.fromtimestamp(at, dt.UTC).isoformat()
                yield f"capacity: {used} of {resource['id']} are used at {instant}, there are {there}"


def _hands_present(plan: Json) -> Iterator[str]:
    held: dict[str, list[tuple[float, float, str]]] = defaultdict(list)
    for task in plan["tasks"]:
        for hands in task["hands"]:
            start, end = seconds(hands["start"]), seconds(hands["end"])
            held[hands["person"]].append((start, end, task["id"]))
            if not seconds(task["start"]) <= start < end <= seconds(task["end"]):
                yield f"hands: {hands['person']} has hands on {task['id']} outside its time"
    people = {person["id"]: person for person in plan["people"]}
    for who, stretches in held.items():
        if who not in people:
            yield f"hands: {who} is nobody of this plan"
            continue
        hours = [(seconds(h["start"]), seconds(h["end"])) for h in people[who]["hours"]]
        pauses = [(seconds(h["start"]), seconds(h["end"])) for h in people[who]["breaks"]]
        for start, end, task_id in stretches:
            if not any(a <= start and end <= b for a, b in hours):
                yield f"hands: {who} is not there for all of {task_id}"
            if any(start < b and a < end for a, b in pauses):
                yield f"hands: {who} has a pause during {task_id}"
        stretches.sort()
        for (_, end, one), (start, _, other) in itertools.pairwise(stretches):
            if start < end:
                yield f"hands: {who} is at {one} and at {other} at once"


def _hands_covered(plan: Json) -> Iterator[str]:
    """``throughout``: hands on it without a gap; ``ends``: for its first and last seconds; ``none``: none."""
    for task in plan["tasks"]:
        start, end = seconds(task["start"]), seconds(task["end"])
        stretches = sorted((seconds(h["start"]), seconds(h["end"])) for h in task["hands"])
        match task["attention"]:
            case "throughout":
                wanted = [(start, end)]
            case "ends":
                wanted = [
                    (start, min(end, start + task["hands_start_s"])),
                    (max(start, end - task["hands_end_s"]), end),
                ]
            case _:
                wanted = []
                if stretches:
                    yield f"hands: task {task['id']} needs none and has some"
        for a, b in wanted:
            alone = _uncovered(a, b, stretches)
            if alone:
                yield f"hands: task {task['id']} is left alone for {alone} s"


def _uncovered(start: float, end: float, stretches: Sequence[tuple[float, float]]) -> float:
    alone, reached = 0.0, start
    for a, b in stretches:
        if b <= start or a >= end:
            continue
        alone += max(0.0, a - reached)
        reached = max(reached, b)
    return alone + max(0.0, end - reached)


def _stretches(plan: Json) -> dict[str, list[Json]]:
    decks: dict[str, list[Json]] = defaultdict(list)
    for stretch in sorted(plan["ovens"], key=lambda s: seconds(s["start"])):
        decks[stretch["deck"]].append(stretch)
    return decks


def _ovens(plan: Json) -> Iterator[str]:
    """Stretches of a deck one after the other, each with the time it takes to get there before it."""
    resources = {resource["id"]: resource for resource in plan["resources"]}
    for deck, stretches in _stretches(plan).items():
        if deck not in resources:
            yield f"oven: {deck} is not listed"
            continue
        changes = resources[deck]["change_s"]
        free, stood = seconds(plan["horizon_start"]), "start"
        for stretch in stretches:
            state = f"{stretch['set_temp_c']:g}"
            key = f"{stood}>{state}"
            if stood != state and key not in changes:
                yield f"oven: {deck} does not say how long {key} takes"
            takes = 0.0 if stood == state else changes.get(key, 0.0)
            start, heat_from = seconds(stretch["start"]), seconds(stretch["heat_from"])
            if start - free < takes:
                yield f"oven: {deck} has {start - free} s for {key}, which takes {takes}"
            if start - heat_from < takes:
                yield f"oven: {deck} is switched {start - heat_from} s before {state}, which takes {takes}"
            if heat_from < free:
                yield f"oven: {deck} is switched to {state} while it still stands at {stood}"
            free, stood = seconds(stretch["end"]), state


def _bakes(plan: Json) -> Iterator[str]:
    decks = {resource["id"] for resource in plan["resources"] if resource["kind"] == "deck"}
    stretches = _stretches(plan)
    for task in plan["tasks"]:
        used = [use["resource"] for use in task["uses"] if use["resource"] in decks]
        if task["kind"] == "bake" and used != [task["place"]]:
            yield f"oven: {task['id']} is baked in {task['place']} but uses {used}"
        for deck in used:
            start, end = seconds(task["start"]), seconds(task["end"])
            if not any(
                seconds(s["start"]) <= start and end <= seconds(s["end"]) and s["set_temp_c"] == task["set_temp_c"]
                for s in stretches[deck]
            ):
                yield f"oven: {deck} does not stand at {task['set_temp_c']} while {task['id']} is in it"


def _lots(plan: Json) -> dict[str, Json]:
    return {lot["id"]: lot for batch in plan["batches"] for lot in batch["lots"]}


def _pieces(plan: Json) -> Iterator[str]:
    given: Counter[str] = Counter()
    lots = _lots(plan)
    for order in plan["orders"]:
        if sum(share["pieces"] for share in order["lots"]) != order["pieces"]:
            yield f"pieces: {order['customer']} ordered {order['pieces']} {order['product']} and gets another number"
        for share in order["lots"]:
            given[share["lot"]] += share["pieces"]
            if share["lot"] not in lots or lots[share["lot"]]["product"] != order["product"]:
                yield f"pieces: {order['customer']} gets {order['product']} from {share['lot']}, which is not that"
    for name, lot in lots.items():
        if given[name] != lot["pieces"]:
            yield f"pieces: lot {name} has {lot['pieces']} pieces, {given[name]} are ordered"


def _ready(plan: Json) -> Iterator[str]:
    ends: dict[str, float] = {}
    for task in plan["tasks"]:
        if task["lot"] is not None and task["kind"] != "pans-cool":
            ends[task["lot"]] = max(ends.get(task["lot"], 0.0), seconds(task["end"]))
    for name, lot in _lots(plan).items():
        if lot["ready"] is None or name not in ends or seconds(lot["ready"]) != ends[name]:
            yield f"ready: lot {name} says {lot['ready']}, its last stage ends otherwise"
    for order in plan["orders"]:
        who = f"{order['customer']}'s {order['product']}"
        last = max((ends.get(share["lot"], 0.0) for share in order["lots"]), default=0.0)
        if order["ready"] is None or seconds(order["ready"]) != last:
            yield f"ready: {who} says {order['ready']}, its lots end otherwise"
        elif order["late_s"] != max(0.0, last - seconds(order["due"])):
            yield f"late: {who} says {order['late_s']} s late, it is {last - seconds(order['due'])}"


def _chains(plan: Json) -> Iterator[str]:
    """The stages of one batch or lot are linked one to the next, never overlap, and come after the dough's own."""
    linked = {(link["before"], link["after"]) for link in plan["links"]}
    strands: dict[str, list[Json]] = defaultdict(list)
    for task in sorted(plan["tasks"], key=lambda t: (seconds(t["start"]), seconds(t["end"]))):
        if task["kind"] != "pans-cool":
            strands[task["lot"] or task["batch"]].append(task)
    for of, tasks in strands.items():
        for before, after in itertools.pairwise(tasks):
            if seconds(after["start"]) < seconds(before["end"]):
                yield f"chain: {of} is at {before['id']} and at {after['id']} at once"
            if (before["id"], after["id"]) not in linked and seconds(before["start"]) < seconds(after["start"]):
                yield f"chain: nothing holds {after['id']} to {before['id']}"
    for batch in plan["batches"]:
        dough = strands.get(batch["id"], [])
        for lot in batch["lots"]:
            if lot["id"] not in strands:
                yield f"chain: lot {lot['id']} has no stages"
            elif dough and seconds(strands[lot["id"]][0]["start"]) < seconds(dough[-1]["end"]):
                yield f"chain: lot {lot['id']} begins before its dough is there"
        for fed in batch["feeds"]:
            own = {task["id"] for task in dough}
            if own and not any(a in own for a, b in linked if _belongs(plan, b, fed)):
                yield f"chain: nothing holds {fed} until {batch['id']} is ready"


def _belongs(plan: Json, task_id: str, batch_id: str) -> bool:
    return any(task["id"] == task_id and task["batch"] == batch_id for task in plan["tasks"])


def _mixers(plan: Json, kitchen: Json) -> Iterator[str]:
    mixers = {mixer["id"]: mixer for mixer in kitchen["mixers"]}
    for batch in plan["batches"]:
        if batch["mixer"] is None:
            continue
        mixer = mixers.get(batch["mixer"])
        if mixer is None:
            yield f"mixer: {batch['id']} is mixed in {batch['mixer']}, which is not there"
            continue
        most = max(mixer.get(key) or 0.0 for key in ("max_dough_g", "max_stiff_g", "max_wet_g"))
        if batch["mass_g"] > most + 0.1:
            yield f"mixer: {batch['id']} weighs {batch['mass_g']} g, {batch['mixer']} takes {most}"
        said = any(batch["id"] in note for note in plan["notes"])
        if batch["mass_g"] < mixer["min_dough_g"] - 0.1 and not said:
            yield f"mixer: {batch['id']} weighs {batch['mass_g']} g, {batch['mixer']} needs {mixer['min_dough_g']}"
