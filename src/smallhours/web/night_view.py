"""A plan as its pages show it: people, ovens and orders in the order one reads them."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from smallhours.planning.odds.words import count_of_100
from smallhours.planning.plan import ASIDE, CalendarPiece, OvenStretch, Plan, PlanOrder, PlanPerson, PlanTask


@dataclass(frozen=True)
class Work:
    """A stretch of a person's hands; ``task`` is None for a pause."""

    start: dt.datetime
    end: dt.datetime
    task: PlanTask | None = None
    of: str = ""
    where: str = ""


@dataclass(frozen=True)
class Day:
    """What falls on one day of the kitchen's calendar."""

    date: dt.date
    works: tuple[Work, ...]


@dataclass(frozen=True)
class PersonView:
    """A person with the work in order, day by day."""

    person: PlanPerson
    days: tuple[Day, ...]


@dataclass(frozen=True)
class Load:
    """One lot in an oven."""

    task: PlanTask
    of: str
    by: str


@dataclass(frozen=True)
class DeckView:
    """A deck at one temperature and what goes in."""

    name: str
    stretch: OvenStretch
    loads: tuple[Load, ...]


@dataclass(frozen=True)
class Sureness:
    """Of how many nights in a hundred all is on time; the order that is least sure, and its own count."""

    all_on_time: int
    weakest: PlanOrder | None
    weakest_on_time: int


@dataclass(frozen=True)
class NightView:
    """A plan, readable."""

    plan: Plan

    @cached_property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The kitchen's time zone."""
        return zoneinfo.ZoneInfo(self.plan.timezone)

    @cached_property
    def names(self) -> dict[str, str]:
        """Names of equipment, people, batches and lots by id."""
        named = {resource.id: resource.name for resource in self.plan.resources}
        named |= {person.id: person.name for person in self.plan.people}
        for batch in self.plan.batches:
            named[batch.id] = batch.name
            named |= {lot.id: lot.name for lot in batch.lots}
        return named

    @cached_property
    def products(self) -> dict[str, str]:
        """Names of products by formula id."""
        return {lot.product: lot.name for batch in self.plan.batches for lot in batch.lots}

    @cached_property
    def odds(self) -> Sureness | None:
        """How sure the plan is; None if nobody reckoned it, as in plans of earlier versions."""
        odds = self.plan.odds
        if odds is None:
            return None
        weakest = None if odds.weakest is None else odds.orders[odds.weakest]
        sure = weakest is None or weakest.on_time >= 1
        return Sureness(
            count_of_100(odds.all_on_time),
            None if sure or odds.weakest is None else self.plan.orders[odds.weakest],
            100 if weakest is None else count_of_100(weakest.on_time),
        )

    def orders(self) -> list[tuple[PlanOrder, str]]:
        """Orders with their product's name, in the order they are due."""
        ordered = sorted(self.plan.orders, key=lambda order: (order.due, order.customer, order.product))
        return [(order, self.products.get(order.product, order.product)) for order in ordered]

    def people(self) -> Iterator[PersonView]:
        """Every person's work, day by day."""
        for person in self.plan.people:
            works = [
                Work(hands.start, hands.end, task, self.names.get(task.lot or task.batch, ""), self._where(task))
                for task in self.plan.tasks
                for hands in task.hands
                if hands.person == person.id
            ]
            works += [Work(pause.start, pause.end) for pause in person.breaks]
            works.sort(key=lambda work: (work.start, work.end))
            days = dict.fromkeys(self._date(work.start) for work in works)
            yield PersonView(
                person, tuple(Day(date, tuple(w for w in works if self._date(w.start) == date)) for date in days)
            )

    def decks(self) -> Iterator[DeckView]:
        """Every stretch of an oven with its loads, in order of time."""
        bakes = [task for task in self.plan.tasks if task.kind == "bake"]
        for stretch in sorted(self.plan.ovens, key=lambda s: (s.heat_from, s.deck)):
            loads = [
                Load(task, self.names.get(task.lot or task.batch, ""), ", ".join(self._hands(task)))
                for task in bakes
                if any(use.resource == stretch.deck for use in task.uses) and stretch.start <= task.start < stretch.end
            ]
            loads.sort(key=lambda load: load.task.start)
            yield DeckView(self.names.get(stretch.deck, stretch.deck), stretch, tuple(loads))

    def tasks_of(self, batch_id: str) -> list[PlanTask]:
        """The tasks of a batch while it is one mass, and the cleanings before them."""
        return [task for task in self.plan.tasks if task.batch == batch_id and task.lot is None]

    def mix_start(self, batch_id: str) -> dt.datetime | None:
        """When the mixing of a batch begins; the start of its first work if it is not mixed."""
        tasks = [task for task in self.tasks_of(batch_id) if task.kind not in ASIDE]
        mixes = [task.start for task in tasks if task.kind == "mix"]
        return min(mixes or [task.start for task in tasks], default=None)

    def hours(self, person: PlanPerson) -> tuple[CalendarPiece, ...]:
        """When a person is here."""
        return tuple(piece for piece in person.hours if piece.capacity)

    def _where(self, task: PlanTask) -> str:
        used = (self.names[use.resource] for use in task.uses if use.resource in self.names)
        return self.names.get(task.place) or next(iter(used), "")

    def _hands(self, task: PlanTask) -> Iterator[str]:
        return iter(dict.fromkeys(self.names.get(hands.person, hands.person) for hands in task.hands))

    def _date(self, instant: dt.datetime) -> dt.date:
        return instant.astimezone(self.zone).date()
