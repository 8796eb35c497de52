"""The days ahead: what to feed, soak, make, load and take out on which day, and until when orders can be met."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence

from smallhours.bakery.orders.batches import Batch, LotNeed
from smallhours.bakery.orders.document import Order
from smallhours.errors import BadInput, SmallhoursError
from smallhours.forecast.place_temp import mean_room_temp_c
from smallhours.planning.days.begun import Begun, Days, NightWork
from smallhours.planning.days.cut_offs import RESTS_ON, CutOffs
from smallhours.planning.days.document import BEGINNINGS, Ahead, AheadDay, Begin, Beginning, CutOff, StageOf
from smallhours.planning.days.soften import RESTS_ON as SOFTEN_RESTS_ON
from smallhours.planning.days.soften import Butter
from smallhours.planning.plan import Plan

MOST_AHEAD = 31
LOOK_ON = 7
"""Days after the last one shown whose orders are looked at for what has to be begun before."""
ENOUGH = 2
"""So many nights in a row of which nothing falls on the days shown, and the ones after are left alone."""
LONG_COLD = dt.timedelta(hours=4)
_KINDS: Mapping[str, Beginning] = {"preferment": "feed", "soaker": "soak", "dough": "mix", "batter": "mix"}
_COLD = ("fridge", "freezer")


def ahead(
    days: Days,
    orders: Mapping[dt.date, Sequence[Order]],
    first: dt.date,
    count: int,
    *,
    made_at: dt.datetime,
    plans: Mapping[dt.date, Plan] | None = None,
) -> Ahead:
    """What has to be begun on ``count`` days from ``first`` on for later days, and the cut-offs that fall on them.

    ``orders``: of each day that is looked at (those shown, and ``LOOK_ON`` more). ``plans``: of nights that are
    planned: what they say goes, if they are for these orders; other nights are reckoned back from their due times.
    Raises: BadInput for fewer than 1 or more than ``MOST_AHEAD`` days; what making batches raises.
    """
    if not 1 <= count <= MOST_AHEAD:
        raise BadInput(f"the days to look ahead must be 1 to {MOST_AHEAD} (found {count})")
    shown = [first + dt.timedelta(days=n) for n in range(count)]
    zone = days.kitchen.zone()
    begin, offs, notes = _gathered(days, orders, shown, plans or {})
    return Ahead(
        kitchen=days.kitchen.id,
        kitchen_name=days.kitchen.name,
        timezone=days.kitchen.timezone,
        made_at=made_at,
        days=tuple(
            AheadDay(
                day=day,
                begin=tuple(sorted((b for b in begin if b.start.astimezone(zone).date() == day), key=_order)),
                cut_offs=tuple(sorted((c for c in offs if c.latest.astimezone(zone).date() == day), key=_by_latest)),
            )
            for day in shown
        ),
        rests_on=RESTS_ON,
        notes=tuple(notes),
    )


def _gathered(
    days: Days, orders: Mapping[dt.date, Sequence[Order]], shown: Sequence[dt.date], plans: Mapping[dt.date, Plan]
) -> tuple[list[Begin], list[CutOff], list[str]]:
    """Everything to be begun and every cut-off of the nights that matter, and what could not be looked at."""
    zone, last = days.kitchen.zone(), shown[-1]
    begin: list[Begin] = []
    offs: list[CutOff] = []
    notes: list[str] = []
    reckon, butter, idle = CutOffs(days), Butter(days.kitchen, days.pantry), 0
    for night, wanted in sorted(orders.items()):
        if not wanted or night < shown[0] or idle == ENOUGH:
            continue
        plan = plans.get(night)
        try:
            work = (days.planned(plan, wanted) if plan is not None else None) or days.reckoned(wanted, night)
            own = beginnings(days, work, butter) if work is not None else []
            until = list(reckon.of_night(wanted, night))
        except SmallhoursError as error:
            notes.append(f"{night}: {error}")
            continue
        begin, offs = begin + own, offs + until
        times = [*(each.start for each in own), *(each.latest for each in until)]
        idle = 0 if night <= last or any(at.astimezone(zone).date() <= last for at in times) else idle + 1
    return begin, offs, notes


def _order(begin: Begin) -> tuple[dt.datetime, int, str]:
    return begin.start, BEGINNINGS.index(begin.kind), begin.what


def _by_latest(cut_off: CutOff) -> tuple[dt.datetime, str, dt.datetime]:
    return cut_off.latest, cut_off.product, cut_off.due


def beginnings(days: Days, work: NightWork, butter: Butter | None = None) -> list[Begin]:
    """Everything of a night that is begun on a calendar day before the one on which its bake is sold.

    Without ``butter``, nothing that only has to soften.
    """
    found = list(_Beginnings(days, work, butter).found())
    zone = days.kitchen.zone()
    return [begin for begin in found if begin.start.astimezone(zone).date() < work.night]


class _Beginnings:
    """One night being gone through."""

    def __init__(self, days: Days, work: NightWork, butter: Butter | None) -> None:
        self.days, self.work, self.butter = days, work, butter
        self.batches = {batch.id: batch for batch in work.made.batches}

    def found(self) -> Iterator[Begin]:
        for batch in self.work.made.batches:
            own = self.work.stages.get(batch.id, ())
            cold = [s for s in own if self._is_kept_cold(s)]
            for lot in batch.lots:
                cold += [s for s in self.work.stages.get(lot.id, ()) if self._is_kept_cold(s)]
            if own and (not batch.lots or cold):
                yield self._of(batch, None, _KINDS.get(batch.kind, "make"), own[0], own[-1].end)
            yield from self._cold(batch, None, own)
            for lot in batch.lots:
                yield from self._cold(batch, lot, self.work.stages.get(lot.id, ()))
            yield from self._butter(batch, own)

    def _is_kept_cold(self, stage: Begun) -> bool:
        return stage.place in _COLD and stage.end - stage.start >= LONG_COLD

    def _cold(self, batch: Batch, lot: LotNeed | None, stages: Sequence[Begun]) -> Iterator[Begin]:
        """Loading into the cold for long, and taking out of the freezer."""
        for stage in stages:
            if self._is_kept_cold(stage):
                yield self._of(batch, lot, "chill", stage, stage.end)
            if stage.place == "freezer":
                out = Begun(stage.id, stage.kind, stage.name, stage.end, stage.end, stage.place, stage.where)
                yield self._of(batch, lot, "take-out", out, None)

    def _butter(self, batch: Batch, own: Sequence[Begun]) -> Iterator[Begin]:
        if not own or self.butter is None:
            return
        used = next((stage for stage in own if stage.kind == "mix"), own[0])
        for line, mass_g in self.butter.lines(batch):
            room_c = mean_room_temp_c(self.days.kitchen, used.start - dt.timedelta(hours=3), used.start)
            stands_s = self.butter.stands_s(line, room_c)
            if stands_s is None:
                continue
            name = self.days.pantry.find(str(line.ingredient)).name
            start = used.start - dt.timedelta(seconds=round(stands_s / 60.0) * 60)
            begin = self._of(batch, None, "soften", used, used.start)
            yield begin.model_copy(
                update={
                    "what": name, "mass_g": round(mass_g, 1), "start": start, "used": used.start, "place": "room",
                    "used_in": self._stage_of(used), "rests_on": SOFTEN_RESTS_ON,
                }
            )  # fmt: skip

    def _of(
        self, batch: Batch, lot: LotNeed | None, kind: Beginning, stage: Begun, end: dt.datetime | None
    ) -> Begin:  # fmt: skip
        formula = self.days.whole[lot.product] if lot else batch.formula
        part = batch.formula.part(batch.part_id)
        users = self.work.users.get(batch.id, ()) if lot is None else ()
        return Begin(
            kind=kind,
            night=self.work.night,
            what=formula.name if lot else part.name,
            formula=formula.id,
            part=batch.part_id,
            products=(lot.product,) if lot else self._products(batch.id),
            mass_g=round(lot.main_mass_g if lot else batch.mass_g, 1),
            pieces=lot.pieces if lot else None,
            start=stage.start,
            end=end,
            used=users[0].start if users else None,
            used_in=self._stage_of(users[0]) if users else None,
            place=stage.where,
            planned=self.work.planned,
        )

    def _products(self, batch_id: str) -> tuple[str, ...]:
        """Everything that a batch goes into in the end."""
        found: dict[str, None] = {}
        waiting = [batch_id]
        for name in waiting:  # grows while it is gone through
            batch = self.batches.get(name)
            if batch is not None:
                found |= dict.fromkeys(lot.product for lot in batch.lots)
                waiting += [fed for fed in batch.feeds if fed not in waiting]
        return tuple(sorted(found))

    def _stage_of(self, stage: Begun) -> StageOf:
        return StageOf(kind=stage.kind, name=stage.name, of=self._named(stage.id.split(":", 1)[0]))

    def _named(self, about: str) -> str:
        batch = self.batches.get(about)
        if batch is not None:
            return batch.formula.part(batch.part_id).name
        lots = (lot for each in self.batches.values() for lot in each.lots if lot.id == about)
        return next((self.days.whole[lot.product].name for lot in lots), about)


def nights_to_look_at(first: dt.date, count: int) -> list[dt.date]:
    """The days whose orders matter for ``count`` days from ``first`` on."""
    return [first + dt.timedelta(days=n) for n in range(count + LOOK_ON)]
