"""Plans small enough to be gone through by hand, and random ones, written down without any planner."""

from __future__ import annotations

import datetime as dt
import itertools
import random
from collections.abc import Mapping, Sequence
from typing import Any

from smallhours.planning.plan import (
    CalendarPiece,
    Hands,
    LotShare,
    OvenStretch,
    Plan,
    PlanBatch,
    PlanLink,
    PlanLot,
    PlanOrder,
    PlanPerson,
    PlanResource,
    PlanTask,
    Use,
    Window,
)

NOON = dt.datetime(2026, 11, 26, 12, 0, tzinfo=dt.UTC)
MINUTE_S = 60.0


def at(minute: float) -> dt.datetime:
    """So many minutes after noon."""
    return NOON + dt.timedelta(minutes=minute)


def task(name: str, kind: str, start: float, end: float, **more: Any) -> PlanTask:
    """A task of batch and lot ``name`` in minutes; ``need``: (min, wanted, max), ``interval``: (low, high), ``uses``:
    resource -> amount for all of it, ``hands``: who; ``attention`` as in the plan."""
    least, wanted, most = more.get("need", (end - start,) * 3)
    low, high = more.get("interval", (None, None))
    who = more.get("hands", "")
    attention = more.get("attention", "throughout" if who else "none")
    minute = 1.0 if attention == "ends" else 0.0
    stretches = [(start, end)] if attention == "throughout" else [(start, start + minute), (end - minute, end)]
    return PlanTask(
        id=f"{name}:{more.get('stage', kind)}", kind=kind, stage=kind, name=kind, batch=name, lot=f"{name}.lot",
        formula="loaf", part="dough", place=next(iter(more.get("uses", {})), "room"), start=at(start), end=at(end),
        window=Window(
            min_s=least * MINUTE_S, preferred_s=wanted * MINUTE_S, max_s=most * MINUTE_S,
            low_s=None if low is None else low * MINUTE_S, high_s=None if high is None else high * MINUTE_S,
        ),
        uses=tuple(
            Use(resource=key, amount=n, start=at(start), end=at(end)) for key, n in more.get("uses", {}).items()
        ),
        attention=attention, hands_start_s=minute * 60, hands_end_s=minute * 60,
        hands=tuple(Hands(person=who, start=at(a), end=at(b)) for a, b in stretches) if who else (),
        set_temp_c=more.get("set_temp_c"),
    )  # fmt: skip


def link(before: PlanTask, after: PlanTask, wait: float | None = 0.0) -> PlanLink:
    """``after`` begins when ``before`` ends, or so many minutes later at most."""
    return PlanLink(before=before.id, after=after.id, max_s=None if wait is None else wait * MINUTE_S)


def plan(
    tasks: Sequence[PlanTask],
    dues: Mapping[str, float],
    links: Sequence[PlanLink] = (),
    resources: Sequence[PlanResource] = (),
    ovens: Sequence[OvenStretch] = (),
    people: Sequence[PlanPerson] = (),
) -> Plan:
    """The plan of these tasks; ``dues``: batch -> minute; one order for each."""
    ready = {t.batch: max(u.end for u in tasks if u.batch == t.batch) for t in tasks}
    return Plan(
        kitchen="small", kitchen_name="Small kitchen", night=dt.date(2026, 11, 27), timezone="UTC", made_at=NOON,
        horizon_start=NOON, horizon_end=at(3000), tick_s=60, status="feasible",
        batches=tuple(
            PlanBatch(
                id=name, formula="loaf", part="dough", part_kind="dough", name=f"{name} dough",
                mass_g=1000, flour_g=600,
                lots=(PlanLot(id=f"{name}.lot", product=name, name=name, pieces=1, piece_mass_g=1000, due=at(due)),),
            )
            for name, due in dues.items()
        ),
        tasks=tuple(sorted(tasks, key=lambda t: (t.start, t.end, t.id))), links=tuple(links),
        resources=tuple(resources), ovens=tuple(ovens), people=tuple(people),
        orders=tuple(
            PlanOrder(
                customer="Shop", product=name, pieces=1, due=at(due), ready=ready[name],
                late_s=max(0.0, (ready[name] - at(due)).total_seconds()), lots=(LotShare(lot=f"{name}.lot", pieces=1),),
            )
            for name, due in dues.items()
        ),
    )  # fmt: skip


def thing(name: str, capacity: int = 1, kind: str = "mixer", **change_s: float) -> PlanResource:
    """A resource without a calendar."""
    changes = {key.removeprefix("t").replace("_", ">"): value for key, value in change_s.items()}
    return PlanResource(id=name, name=name.capitalize(), kind=kind, unit="place", capacity=capacity, change_s=changes)


def person(name: str, start: float = 0, end: float = 3000, breaks: Sequence[tuple[float, float]] = ()) -> PlanPerson:
    """Somebody with hours and pauses."""

    def piece(a: float, b: float, there: int) -> CalendarPiece:
        return CalendarPiece(start=at(a), end=at(b), capacity=there)

    rests = tuple(piece(a, b, 0) for a, b in breaks)
    return PlanPerson(id=name, name=name.capitalize(), hours=(piece(start, end, 1),), breaks=rests)


class _Kitchen:
    """What is taken so far, minute by minute, while a random plan is written down."""

    def __init__(self, capacity: Mapping[str, int]) -> None:
        self.capacity = capacity
        self.taken = {name: [0] * 3000 for name in capacity}

    def fits(self, wanted: Mapping[str, int], start: int, end: int) -> bool:
        return all(
            self.taken[name][minute] + n <= self.capacity[name]
            for name, n in wanted.items()
            for minute in range(start, end)
        )  # fmt: skip

    def take(self, wanted: Mapping[str, int], start: int, end: int) -> None:
        for name, n in wanted.items():
            for minute in range(start, end):
                self.taken[name][minute] += n


CAPACITY = {"mixer": 1, "bench": 2, "proofer": 3, "deck": 2, "ana": 1, "ben": 1}


def random_plan(seed: int, batches: int = 5) -> Plan:
    """A random sound plan: doughs mixed, rested, shaped by hand, proofed, baked, packed, as early as there is room."""
    dice = random.Random(seed)
    there = _Kitchen(CAPACITY)
    ana_rests = (300, 320)
    there.take({"ana": 1}, *ana_rests)
    tasks: list[PlanTask] = []
    links: list[PlanLink] = []
    dues = {}
    for number in range(batches):
        name = f"d{number}"
        mine = _strand(name, dice, there)
        tasks += mine
        waits = {"shape": 10.0, "bake": 0.0, "mix": 0.0, "rest": 0.0, "proof": 0.0, "pack": 5.0}
        links += [link(a, b, waits[a.kind]) for a, b in itertools.pairwise(mine)]
        dues[name] = (mine[-1].end - NOON).total_seconds() / 60 + dice.choice([0, 0, 10, 30])
    oven = OvenStretch(deck="deck", set_temp_c=200, heat_from=NOON, start=NOON, end=at(2999))
    things = [thing(name, CAPACITY[name], kind) for name, kind in (
        ("mixer", "mixer"), ("bench", "bench"), ("proofer", "proofer"), ("deck", "deck"))]  # fmt: skip
    return plan(tasks, dues, links, things, [oven], [person("ana", breaks=[ana_rests]), person("ben")])


def _strand(name: str, dice: random.Random, there: _Kitchen) -> list[PlanTask]:
    """The stages of one dough, found by trying starts; the two rests are drawn out until the next stage has room."""
    who = dice.choice(["ana", "ben"])
    mix, shape, bake, pack = dice.randint(8, 15), dice.randint(5, 25), dice.randint(20, 40), dice.randint(2, 8)
    rest, proof = dice.randint(30, 90), dice.randint(40, 80)
    places = dice.randint(1, 2)
    for start in range(dice.randint(0, 200), 2500):
        shapes = next((t for t in range(start + mix + rest, start + mix + rest + 60)
                       if there.fits({"bench": 1, who: 1}, t, t + shape)), None)  # fmt: skip
        if not there.fits({"mixer": 1}, start, start + mix) or shapes is None:
            continue
        if not (there.fits({who: 1}, start, start + 1) and there.fits({who: 1}, start + mix - 1, start + mix)):
            continue
        proofs = shapes + shape
        for bakes in range(proofs + proof, proofs + proof + 50):
            out = bakes + bake
            ends = [(bakes, bakes + 1), (out - 1, out), (out, out + pack)]
            if there.fits({"deck": places}, bakes, out) and all(there.fits({who: 1}, *end) for end in ends) \
                    and there.fits({"proofer": places}, proofs, bakes):  # fmt: skip
                break
        else:
            continue
        taken: list[tuple[dict[str, int], int, int]] = [
            ({"mixer": 1}, start, start + mix), ({who: 1}, start, start + 1), ({who: 1}, start + mix - 1, start + mix),
            ({"bench": 1, who: 1}, shapes, proofs),
            ({"proofer": places}, proofs, bakes), ({"deck": places}, bakes, out),
            *(({who: 1}, *end) for end in ends),
        ]  # fmt: skip
        for wanted, a, b in taken:
            there.take(wanted, a, b)
        soft = {"need": (rest * 0.7, rest, rest * 1.5), "interval": (rest * 0.8, rest * 1.3)}
        slow = {"need": (proof * 0.8, proof, proof * 1.4), "interval": (proof * 0.75, proof * 1.25)}
        return [
            task(name, "mix", start, start + mix, uses={"mixer": 1}, hands=who, attention="ends"),
            task(name, "rest", start + mix, shapes, **soft),
            task(name, "shape", shapes, proofs, uses={"bench": 1}, hands=who),
            task(name, "proof", proofs, bakes, uses={"proofer": places}, **slow),
            task(name, "bake", bakes, out, uses={"deck": places}, hands=who, attention="ends", set_temp_c=200),
            task(name, "pack", out, out + pack, hands=who),
        ]
    raise AssertionError("no room in three thousand minutes")
