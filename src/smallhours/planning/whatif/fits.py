"""Does an extra order fit, what does it cost, and until when can it still be taken?"""

from __future__ import annotations

import datetime as dt
import math
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.orders.document import Order
from smallhours.bakery.shift.happened import Extra, Happened
from smallhours.bakery.shift.variation import Variation, Wanted
from smallhours.errors import BadInput, SmallhoursError
from smallhours.planning.engine.lags import windows
from smallhours.planning.live.replan import replan
from smallhours.planning.plan import Plan, PlanOrder
from smallhours.planning.whatif.attempt import Thinking, as_planned, night_of, tried
from smallhours.planning.whatif.compare import OnStep
from smallhours.planning.whatif.document import Cost, Fit
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.measures import measures, more
from smallhours.planning.whatif.varied import varied

CUSTOMER = "Extra"
STEP_S = 300.0
_CHAIN = "its shortest stages, one after the other"
_SEARCH = "plans of the rest of the night, made for moments between now and then"
_BOWLS = "the first work of the night: from then on it would need dough of its own, for which no plan was found"


@dataclass(frozen=True)
class Asking:
    """An extra order, asked for at ``now``."""

    product: str
    pieces: int
    due: dt.time
    now: dt.datetime


def fit(
    given: Given,
    plan: Plan,
    asking: Asking,
    *,
    made_at: dt.datetime,
    thinking: Thinking,
    time_limit_s: float = 60.0,
    on_step: OnStep | None = None,
) -> Fit:
    """Whether an order fits into the night of ``plan`` with everything else no later than there, and until when.

    Before the first work of the night the order is planned together with the others; from then on it gets batches of
    its own and what has begun goes on. ``given``: what the plan was made from.

    Raises: BadInput for an order that is due before now, an unknown product, or a plan without work.
    """
    return _Fitting(given, plan, asking, made_at, thinking, time.monotonic() + time_limit_s, on_step).answer()


class _Fitting:
    """One order being fitted in."""

    def __init__(
        self, given: Given, plan: Plan, asking: Asking, made_at: dt.datetime, thinking: Thinking, until: float,
        on_step: OnStep | None,
    ) -> None:  # fmt: skip
        if not plan.tasks:
            raise BadInput(f"the night to {plan.night} has no plan with work in it: plan it first")
        zone = given.kitchen.zone()
        self.given, self.plan, self.asking, self.made_at = given, plan, asking, made_at
        self.thinking, self.until, self.on_step = thinking, until, on_step
        self.due = instant(plan.night, asking.due, zone)
        self.first = min(task.start for task in plan.tasks)
        known = plan.horizon_start if plan.happened is None else plan.happened.now
        self.now = max(asking.now, known)
        if self.due <= self.now:
            there = self.now.astimezone(zone)
            raise BadInput(f"{asking.product} is wanted at {asking.due:%H:%M}, which is not after {there:%H:%M}")
        self.order = Order(
            customer=CUSTOMER, product=asking.product, date=plan.night, due=asking.due, pieces=asking.pieces
        )
        self.steps = 0
        self.known: dict[dt.datetime, Plan | None] = {}

    def answer(self) -> Fit:
        """The whole answer."""
        chain = dt.timedelta(seconds=self.chain_s())
        latest = self.due - chain
        together = self.together() if self.now <= self.first else None
        made, proven = (None, False) if together is None else together
        if made is None or not self.met(made):
            alone = self.alone(self.now)
            if alone is not None and (made is None or self.met(alone) or self.first < self.now):
                made = alone
        fits = made is not None and self.met(made)
        cut_off, not_at, rests_on = self.cut_off(latest) if fits else (None, None, "")
        return self.told(made, fits, proven or latest < self.now, (cut_off, not_at, rests_on))

    def told(
        self, made: Plan | None, fits: bool, proven: bool, cut: tuple[dt.datetime | None, dt.datetime | None, str]
    ) -> Fit:
        """The answer from the plan with the order."""
        own = None if made is None else self.own(made)
        costs = Cost() if made is None else more(measures("", made), measures("", self.without(made)))
        return Fit(
            product=self.asking.product,
            pieces=self.asking.pieces,
            due=self.due,
            timezone=self.plan.timezone,
            fits=fits,
            ready=None if own is None else own.ready,
            late_s=None if own is None or own.ready is None else own.late_s,
            late_elsewhere=tuple(self.late_elsewhere(made)) if made is not None else (),
            proven=proven and not fits,
            costs=costs,
            cut_off=cut[0],
            not_at=cut[1],
            rests_on=cut[2],
        )

    def chain_s(self) -> float:
        """The shortest that the order's own stages take, one after the other, with nothing in the way."""
        of = night_of(replace(self.given, orders=(self.order,)))
        reach = windows(of.question.problem)
        if reach is None:
            return 0.0
        ends = [reach[due.task, "end"][0] for due in of.question.problem.dues]
        begins = [at for (_, side), (at, _) in reach.items() if side == "start"]
        return float((max(ends) - min(begins)) * of.night.clock.tick_s)

    def together(self, start: dt.datetime | None = None) -> tuple[Plan, bool] | None:
        """The night planned with the order among the others, nothing begun before ``start`` (now, if not said); and
        whether no plan can be less late."""
        self.tell("with the others, in the same bowls")
        clock_start = max(self.plan.horizon_start, start or self.now)
        whole = -(-(clock_start - self.plan.horizon_start).total_seconds() // self.plan.tick_s) * self.plan.tick_s
        begin = self.plan.horizon_start + dt.timedelta(seconds=whole)
        wanted = Wanted(product=self.order.product, customer=CUSTOMER, due=self.order.due, more=self.order.pieces)
        given = varied(replace(self.given, start=begin), Variation(orders=(wanted,)))
        of = night_of(given, self.plan.tick_s)
        attempt = tried(of, self.thinking, "best", as_planned(of, self.plan))
        return (attempt.plan(self.made_at), attempt.proven) if attempt.fits else None

    def alone(self, now: dt.datetime) -> Plan | None:
        """The rest of the night planned anew at ``now``, the order with batches of its own; None if there is none."""
        if now not in self.known:
            zone = self.given.kitchen.zone()
            self.tell(f"asked for at {now.astimezone(zone):%H:%M}")
            extra = Extra(**self.order.model_dump(exclude={"free_from"}))
            try:
                self.known[now] = replan(
                    self.plan, Happened(now=now, orders=(extra,)), self.given.formulas, self.given.kitchen,
                    self.given.pantry, made_at=self.made_at, time_limit_s=self.thinking.try_s,
                    workers=self.thinking.workers, seed=self.thinking.seed,
                    deterministic=self.thinking.deterministic, stop=self.thinking.stop,
                )  # fmt: skip
            except SmallhoursError:
                self.known[now] = None
        return self.known[now]

    def without(self, made: Plan) -> Plan:
        """The plan to count costs from: for one that was planned afresh with the order, the night planned afresh."""
        if made.changes or made.happened is not None:
            return self.plan
        of = night_of(replace(self.given, start=made.horizon_start), self.plan.tick_s)
        attempt = tried(of, self.thinking, "best", as_planned(of, self.plan))
        return attempt.plan(self.made_at) if attempt.fits else self.plan

    def tell(self, words: str) -> None:
        """Say what is tried."""
        self.steps += 1
        if self.on_step is not None:
            self.on_step(self.steps, self.steps, words)

    def own(self, made: Plan) -> PlanOrder:
        """The extra order in a plan."""
        return next(
            o for o in reversed(made.orders)
            if (o.customer, o.product, o.due, o.pieces) == (CUSTOMER, self.order.product, self.due, self.order.pieces)
        )  # fmt: skip

    def late_elsewhere(self, made: Plan) -> Iterator[str]:
        """Other orders that are later than in the plan without the order."""
        was = {(o.customer, o.product, o.due): o.late_s for o in self.plan.orders}
        own = self.own(made)
        for order in made.orders:
            before = was.get((order.customer, order.product, order.due), 0.0)
            if order is not own and order.late_s > before:
                later = round((order.late_s - before) / 60)
                yield f"{order.pieces} {order.product} for {order.customer}, {later} min later"

    def met(self, made: Plan | None) -> bool:
        """Whether the order is on time in a plan that keeps every limit, and nothing else is later."""
        if (
            made is None
            or not made.tasks
            or any(note.endswith("because nothing fits otherwise") for note in made.notes)
        ):
            return False
        own = self.own(made)
        return own.ready is not None and not own.late_s and not any(self.late_elsewhere(made))

    def cut_off(self, latest: dt.datetime) -> tuple[dt.datetime | None, dt.datetime | None, str]:
        """Until when it could still be asked for, when not any more, and what that rests on."""
        if not self.met(self.alone(self.now)):
            return self._while_nothing_has_begun()
        steps = max(0, math.floor((latest - self.now).total_seconds() / STEP_S))
        enough, too_late = 0, None
        at = steps
        while enough < at and not self.over():
            moment = self.now + dt.timedelta(seconds=at * STEP_S)
            if self.met(self.alone(moment)):
                enough = at
            elif not self.over():
                too_late = at
            at = enough + (((steps + 1) if too_late is None else too_late) - enough) // 2
        cut = self.now + dt.timedelta(seconds=enough * STEP_S)
        if too_late is None:
            return (cut, latest + dt.timedelta(seconds=STEP_S), _CHAIN) if enough == steps else (cut, None, _SEARCH)
        return cut, self.now + dt.timedelta(seconds=too_late * STEP_S), _SEARCH

    def _while_nothing_has_begun(self) -> tuple[dt.datetime | None, dt.datetime | None, str]:
        """It only fits in the same bowls as the others: until the first work begins, if it still does then."""
        if self.now >= self.first or self.over():
            return self.now, None, _BOWLS
        then = self.together(self.first)
        if then is not None and self.met(then[0]):
            return self.first, None, _BOWLS
        return self.now, self.first, _BOWLS

    def over(self) -> bool:
        """Whether it is time to stop."""
        return self.thinking.stop.stopped or time.monotonic() >= self.until
