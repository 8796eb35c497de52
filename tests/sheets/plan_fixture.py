"""A night of an invented bakery, built by hand: eight bowls, ten lots, three people, buns held cold overnight."""

from __future__ import annotations

import datetime as dt
import math

from smallhours.planning import plan as p

KITCHEN_NAME = "Three Bollards Bakehouse"
PEOPLE = (("ines", "Inés"), ("tomas", "Tomás"), ("wren", "Wren"))
RESOURCES = (
    ("spiral", "Spiral mixer 40 l", "mixer", "dough", 1),
    ("planetary", "Planetary mixer 20 l", "mixer", "dough", 1),
    ("bench", "Long bench, small bench", "bench", "place", 3),
    ("fridge", "Still fridge 4 °C", "fridge", "tray place", 12),
    ("retarder", "Fan retarder 3 °C", "retarder", "tray place", 20),
    ("proofer", "Proofer 29 °C", "proofer", "tray place", 16),
    ("rack", "Racks", "rack", "tray place", 40),
    ("deck-1", "Deck oven, upper", "deck", "tray place", 4),
    ("deck-2", "Deck oven, lower", "deck", "tray place", 4),
    ("convection", "Convection oven", "deck", "tray place", 6),
    ("loaf-tin", "Loaf tins", "pan", "pan", 40),
    ("people", "People", "people", "person", 3),
)
# place -> what a dough tends to there (°C) and how slowly (time constant, h)
_PLACES = {
    "fridge": (4.0, 1.5), "retarder": (3.0, 0.8), "proofer": (29.0, 0.9), "rack": (22.0, 1.2), "bench": (22.0, 2.0),
}  # fmt: skip


class Night:
    """Writes a plan down task by task; ``zero`` is the instant of minute 0."""

    def __init__(self, zero: dt.datetime) -> None:
        self.zero = zero
        self.tasks: list[p.PlanTask] = []
        self.links: list[p.PlanLink] = []
        self.courses: list[p.Course] = []

    def at(self, minute: float) -> dt.datetime:
        return self.zero + dt.timedelta(minutes=minute)

    def strand(
        self, batch: str, formula: str, part: str, steps: list[tuple], lot: str | None = None,
        pieces: int | None = None, temp_c: float | None = 25.0, rise: float = 1.0,
    ) -> tuple[float, float]:  # fmt: skip
        """Steps are (kind, place, start minute, length, hands as [(person, from, to) in minutes after start], set)."""
        last: p.PlanTask | None = None
        points = []
        for kind, place, start, length, hands, set_temp_c in steps:
            task = self._task(batch, formula, part, lot, pieces, kind, place, start, length, hands, set_temp_c)
            if last is not None:
                self.links.append(p.PlanLink(before=last.id, after=task.id, rule="in turn"))
            last = task
            self.tasks.append(task)
            if temp_c is None or kind == "weigh":
                continue
            for i in range(0, int(length) + 1, 5):
                if i:
                    temp_c, rise = self._later(temp_c, rise, kind, place)
                points.append(p.CoursePoint(at=self.at(start + i), temp_c=round(temp_c, 2), rise=round(rise, 3)))
        if points:
            self.courses.append(p.Course(of=lot or batch, points=tuple(points)))
        return (temp_c or 0.0, rise)

    @staticmethod
    def _later(temp_c: float, rise: float, kind: str, place: str) -> tuple[float, float]:
        if kind == "mix":
            return temp_c + 0.9, 1.0
        if kind == "bake":
            return temp_c + (97 - temp_c) * (1 - math.exp(-5 / 9)), rise + (2.7 - rise) * 0.3 if rise < 2.7 else rise
        if kind == "cool":
            return temp_c + (24 - temp_c) * (1 - math.exp(-5 / 30)), rise
        goal, hours = _PLACES.get(place, (22.0, 2.0))
        temp_c += (goal - temp_c) * (1 - math.exp(-5 / 60 / hours))
        if kind in ("divide", "shape", "roll", "slice", "sheet"):
            return temp_c, max(1.05, rise * 0.86)
        return temp_c, min(2.5, rise * (1 + 0.5 * 5 / 60 * max(0.0, (temp_c - 3) / 22) ** 1.6))

    def _task(
        self, batch: str, formula: str, part: str, lot: str | None, pieces: int | None, kind: str, place: str,
        start: float, length: float, hands: list[tuple[str, float, float]], set_temp_c: float | None,
    ) -> p.PlanTask:  # fmt: skip
        s = length * 60.0
        begin, end = self.at(start), self.at(start + length)
        return p.PlanTask(
            id=f"{lot or batch}:{kind}:{int(start)}", kind=kind, stage=kind, name=kind, batch=batch, lot=lot,
            formula=formula, part=part, pieces=pieces, place=place, start=begin, end=end,
            window=p.Window(min_s=s * 0.9, preferred_s=s, max_s=s * 1.2, low_s=s * 0.9, high_s=s * 1.15),
            uses=() if place == "room" else (p.Use(resource=place, amount=1, start=begin, end=end),),
            hands=tuple(p.Hands(person=w, start=self.at(start + a), end=self.at(start + b)) for w, a, b in hands),
            set_temp_c=set_temp_c, steam=kind == "bake" and formula == "quay-loaf",
        )  # fmt: skip


def _hand_work(who: str, length: float) -> list[tuple[str, float, float]]:
    return [(who, 0, length)]


def _lot(
    night: Night, lot: str, batch: str, formula: str, at: float, who: str, pieces: int, temp_c: float, rise: float,
    shape: float, proof: tuple[str, float], bake: tuple[str, float, float, float], cool: float,
) -> None:  # fmt: skip
    place, proof_min = proof
    deck, load, bake_min, set_c = bake
    kind = "retard" if place in ("fridge", "retarder") else "proof"
    night.strand(
        batch, formula, "dough",
        [
            ("divide", "bench", at, 10, _hand_work(who, 10), None),
            ("shape", "bench", at + 10, shape, _hand_work(who, shape), None),
            (kind, place, at + 10 + shape, proof_min, [], None),
            ("bake", deck, load, bake_min, [(who, 0, 3), (who, bake_min - 3, bake_min)], set_c),
            ("cool", "rack", load + bake_min, cool, [], None),
        ],
        lot=lot, pieces=pieces, temp_c=temp_c, rise=rise,
    )  # fmt: skip


def _evening(night: Night) -> None:
    """Poolish, buns to be held cold overnight."""
    night.strand("poolish-1", "quay-loaf", "poolish", [
        ("mix", "planetary", 20, 6, _hand_work("wren", 6), None), ("ferment", "rack", 26, 690, [], None),
    ], temp_c=22)  # fmt: skip
    temp, rise = night.strand("bun-1", "harbour-bun", "dough", [
        ("weigh", "bench", 30, 12, _hand_work("tomas", 12), None),
        ("mix", "spiral", 44, 20, [("tomas", 0, 4), ("tomas", 10, 20)], None),
        ("rest", "rack", 64, 100, [], None), ("chill", "fridge", 164, 100, [], None),
    ], temp_c=20)  # fmt: skip
    night.strand("bun-fill-1", "harbour-bun", "filling", [("mix", "planetary", 60, 8, _hand_work("wren", 8), None),
        ("rest", "rack", 68, 196, [], None)], temp_c=None)  # fmt: skip
    night.links.append(p.PlanLink(before="bun-fill-1:rest:68", after="bun-1-a:divide:266", rule="filling"))
    for lot, start, who, load in (("bun-1-a", 266, "tomas", 800), ("bun-1-b", 292, "wren", 842)):
        _lot(night, lot, "bun-1", "harbour-bun", start, who, 48, temp, rise, 22,
             ("retarder", load - start - 32 - 8), ("convection", load, 32, 175), 40)  # fmt: skip


def _braids_and_buns(night: Night) -> None:
    """A dough chilled overnight that braids and burger buns share."""
    temp, rise = night.strand("brioche-1", "egg-dough", "dough", [
        ("mix", "spiral", 90, 24, [("tomas", 0, 4), ("tomas", 12, 24)], None),
        ("rest", "rack", 114, 60, [], None), ("chill", "fridge", 174, 480, [], None),
    ], temp_c=19)  # fmt: skip
    _lot(night, "brioche-1-braid", "brioche-1", "braid", 660, "ines", 16, temp, rise, 24,
         ("proofer", 96), ("deck-1", 800, 34, 180), 60)  # fmt: skip
    _lot(night, "brioche-1-burger", "brioche-1", "burger-bun", 682, "wren", 80, temp, rise, 26,
         ("proofer", 92), ("deck-2", 812, 18, 190), 30)  # fmt: skip
    _lot(night, "brioche-1-burger-2", "brioche-1", "burger-bun", 712, "wren", 60, temp, rise, 24,
         ("proofer", 88), ("deck-2", 836, 18, 190), 30)  # fmt: skip


def _morning(night: Night) -> None:
    """What is mixed and baked the same morning."""
    temp, rise = night.strand("hearth-1", "quay-loaf", "dough", [
        ("mix", "spiral", 720, 16, [("ines", 0, 3), ("ines", 13, 16)], None), ("ferment", "bench", 736, 70, [
            ("ines", 30, 33)], None)], temp_c=20)  # fmt: skip
    night.links.append(p.PlanLink(before="poolish-1:ferment:26", after="hearth-1:mix:720", rule="preferment"))
    _lot(night, "hearth-1-a", "hearth-1", "quay-loaf", 806, "tomas", 20, temp, rise, 16,
         ("rack", 60), ("deck-1", 892, 36, 240), 45)  # fmt: skip
    _lot(night, "hearth-1-b", "hearth-1", "quay-loaf", 834, "tomas", 20, temp, rise, 16,
         ("rack", 60), ("deck-2", 920, 36, 240), 45)  # fmt: skip
    temp, rise = night.strand("focaccia-1", "focaccia", "dough", [
        ("mix", "spiral", 690, 14, _hand_work("ines", 14), None), ("ferment", "rack", 704, 90, [], None),
    ], temp_c=21)  # fmt: skip
    _lot(night, "focaccia-1-a", "focaccia-1", "focaccia", 796, "ines", 24, temp, rise, 10,
         ("proofer", 60), ("convection", 884, 24, 220), 20)  # fmt: skip
    temp, rise = night.strand("milk-1", "milk-loaf", "dough", [
        ("mix", "planetary", 674, 15, _hand_work("ines", 15), None), ("ferment", "bench", 689, 60, [], None),
    ], temp_c=20)  # fmt: skip
    _lot(night, "milk-1-a", "milk-1", "milk-loaf", 750, "tomas", 24, temp, rise, 18,
         ("proofer", 66), ("deck-1", 846, 36, 190), 60)  # fmt: skip
    night.strand("glaze-1", "harbour-bun", "glaze", [
        ("mix", "planetary", 820, 6, _hand_work("wren", 6), None)], temp_c=None)  # fmt: skip


# batch -> (formula, part, kind, name, mass, flour, mixer, feeds, lots as (id, product, name, pieces, mass, pan, pans))
_BOWLS = (
    ("poolish-1", "quay-loaf", "poolish", "preferment", "Poolish", 7000, 3500, "planetary", ("hearth-1",), ()),
    ("bun-1", "harbour-bun", "dough", "dough", "Cardamom dough", 13900, 6900, "spiral", (), (
        ("bun-1-a", "harbour-bun", "Harbour bun", 48, 142.0, "tall-pan", 6, 4, 960),
        ("bun-1-b", "harbour-bun", "Harbour bun", 48, 142.0, "tall-pan", 6, 4, 960))),
    ("bun-fill-1", "harbour-bun", "filling", "filling", "Brown sugar and cinnamon filling", 4360, 0, "planetary",
     ("bun-1",), ()),
    ("brioche-1", "egg-dough", "dough", "dough", "Egg dough", 20100, 9800, "spiral", (), (
        ("brioche-1-braid", "braid", "Braid", 16, 480.0, None, 0, 4, 960),
        ("brioche-1-burger", "burger-bun", "Sesame burger bun", 80, 85.0, None, 0, 4, 900),
        ("brioche-1-burger-2", "burger-bun", "Sesame burger bun", 60, 85.0, None, 0, 3, 900))),
    ("hearth-1", "quay-loaf", "dough", "dough", "Quay dough", 36400, 21000, "spiral", (), (
        ("hearth-1-a", "quay-loaf", "Quay loaf", 20, 900.0, None, 0, 4, 990),
        ("hearth-1-b", "quay-loaf", "Quay loaf", 20, 900.0, None, 0, 4, 990))),
    ("focaccia-1", "focaccia", "dough", "dough", "Focaccia dough", 9700, 5400, "spiral", (), (
        ("focaccia-1-a", "focaccia", "Rosemary focaccia", 24, 400.0, None, 0, 4, 960),)),
    ("milk-1", "milk-loaf", "dough", "dough", "Milk loaf dough", 13900, 7600, "planetary", (), (
        ("milk-1-a", "milk-loaf", "Milk loaf", 24, 570.0, "loaf-tin", 24, 3, 960),)),
    ("glaze-1", "harbour-bun", "glaze", "glaze", "Cream cheese glaze", 2112, 0, "planetary", ("bun-1",), ()),
)  # fmt: skip


def _liquid(formula: str) -> p.LiquidAdvice:
    milk = formula == "harbour-bun"
    return p.LiquidAdvice(
        liquid="milk-whole" if milk else "water", target_dough_temp_c=24, liquid_temp_c=8, low_c=6, high_c=10,
        ice_g=0 if milk else 320, rule_temp_c=9,
    )  # fmt: skip


def _batches(night: Night) -> tuple[p.PlanBatch, ...]:
    ready = {t.lot: t.end for t in night.tasks if t.lot}
    batches = []
    for bid, formula, part, kind, name, mass, flour, mixer, feeds, lots in _BOWLS:
        batches.append(
            p.PlanBatch(
                id=bid, formula=formula, formula_revision=3, part=part, part_kind=kind, name=name, mass_g=mass,
                flour_g=flour, mixer=mixer, feeds=feeds,
                lots=tuple(
                    p.PlanLot(id=i, product=q, name=n, pieces=c, piece_mass_g=m, pan=pan, pans=pans, tray_places=t,
                              due=night.at(due), ready=ready[i])
                    for i, q, n, c, m, pan, pans, t, due in lots
                ),
                liquid=None if part in ("filling", "glaze") else _liquid(formula),
            )
        )  # fmt: skip
    return tuple(batches)


def _orders(n: Night, batches: tuple[p.PlanBatch, ...]) -> list[p.PlanOrder]:
    orders = []
    for batch in batches:
        for lot in batch.lots:
            late = max(0.0, (lot.ready - lot.due).total_seconds()) if lot.ready else 0.0
            orders.append(
                p.PlanOrder(customer="Corner shop" if lot.due < n.at(930) else "Counter", product=lot.product,
                            pieces=lot.pieces, due=lot.due, ready=lot.ready, late_s=late,
                            lots=(p.LotShare(lot=lot.id, pieces=lot.pieces),))
            )  # fmt: skip
    return orders


# deck, set temperature, minute of switching on, of being ready, of the end
_OVENS = (
    ("deck-1", 180, 745, 800, 838), ("deck-1", 190, 838, 846, 884), ("deck-1", 240, 884, 892, 930),
    ("deck-2", 190, 752, 812, 856), ("deck-2", 240, 880, 920, 958),
    ("convection", 175, 776, 800, 876), ("convection", 220, 876, 884, 910),
)  # fmt: skip
_HOURS = {"ines": ((640, 1010),), "tomas": ((0, 330), (640, 1010)), "wren": ((0, 340), (640, 1010))}


def fixture_plan(
    zero: dt.datetime | None = None, timezone: str = "Europe/Madrid", night: dt.date | None = None
) -> p.Plan:
    """The plan. Minute 0 stands at 16:00 on the kitchen's clock unless ``zero`` says otherwise."""
    zero = zero or dt.datetime(2026, 11, 14, 15, 0, tzinfo=dt.UTC)
    n = Night(zero)
    for write in (_evening, _braids_and_buns, _morning):
        write(n)
    batches = _batches(n)
    orders = _orders(n, batches)
    return p.Plan(
        kitchen="three-bollards", kitchen_name=KITCHEN_NAME, night=night or dt.date(2026, 11, 15), timezone=timezone,
        made_at=zero - dt.timedelta(minutes=35), horizon_start=zero, horizon_end=n.at(1080), tick_s=120,
        status="feasible",
        resources=tuple(
            p.PlanResource(id=i, name=name, kind=kind, unit=unit, capacity=c) for i, name, kind, unit, c in RESOURCES
        ),
        people=tuple(
            p.PlanPerson(
                id=i, name=name,
                hours=tuple(p.CalendarPiece(start=n.at(h[0]), end=n.at(h[1]), capacity=1)
                            for h in _HOURS[i]),
                breaks=(p.CalendarPiece(start=n.at(866), end=n.at(886), capacity=0),) if i == "wren" else (),
            )
            for i, name in PEOPLE
        ),
        batches=batches, tasks=tuple(sorted(n.tasks, key=lambda t: (t.start, t.id))), links=tuple(n.links),
        ovens=tuple(p.OvenStretch(deck=d, set_temp_c=c, heat_from=n.at(a), start=n.at(b), end=n.at(e))
                    for d, c, a, b, e in _OVENS),
        orders=tuple(orders), courses=tuple(n.courses),
        late=tuple(
            p.LateReason(product=o.product, late_s=o.late_s, resource="deck-2", start=n.at(836), end=n.at(854),
                         behind=("brioche-1-burger-2",), sentence="It waits for the lower deck.")
            for o in orders if o.late_s > 0
        ),
        solve_s=5.0,
    )  # fmt: skip
