"""A plan as a network of instants: what each has to wait for, so that its order is kept when things run late.

Every task has three instants: ``start``; ``ready``, when it could end; ``gone``, when it leaves what it stands in,
which is later where the next stage cannot begin yet. Every stretch of a person's hands has one more: ``free``, when
the person can turn to the next. They are put in an order in which each only waits for those before it.

Kept as the plan has them: who does what and in which order, which deck and mixer, who comes first where places are
counted. Times are seconds from the plan's horizon.
"""

from __future__ import annotations

import heapq
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from smallhours.planning.plan import Hands, Plan, PlanLink, PlanTask

Kind = Literal["start", "ready", "gone", "free"]
Instant = tuple[Kind, int]
PAUSE = "pause"


@dataclass(frozen=True)
class Piece:
    """A stretch of a person's hands: in which job, at its start, all through, or at its end.

    ``offset_s``: from the job's start (of the piece's start). ``breaks_off``: the person leaves other work for it.
    """

    person: str
    job: int
    side: Literal["first", "through", "last"]
    start_s: float
    length_s: float
    offset_s: float
    last: bool = True
    breaks_off: bool = False

    @property
    def side_of_job(self) -> Kind:
        """The instant of the job that waits for this person."""
        return "start" if self.side == "first" or (self.side == "through" and self.offset_s <= 0) else "ready"


@dataclass(frozen=True)
class Take:
    """Places of a resource wanted by a job: when its side acquires them, there may be ``spare`` others still in use.

    ``after``: (job, place in its uses, amount) of those that are to be gone by then. ``lead_s``: how long before the
    job's ready instant they are taken, for what is needed at its end only (None: from its start on). ``brief``: the job
    is done in a known time, so that it may go before those that are late, if it is gone when they come.
    """

    resource: str
    spare: int
    after: tuple[tuple[int, int, int], ...]
    at_s: float
    lead_s: float | None
    brief: bool = False


@dataclass(frozen=True)
class Let:
    """When a job lets go of places: so long before it is gone, and not sooner than so long after its start."""

    before_gone_s: float
    after_start_s: float


@dataclass
class Job:
    """A task (or a pause: ``task`` is None) and everything that its instants wait for."""

    task: PlanTask | None
    start_s: float
    end_s: float
    pieces: list[int] = field(default_factory=list)
    takes: list[Take] = field(default_factory=list)
    lets: list[Let] = field(default_factory=list)
    heated: tuple[tuple[int, ...], float, str] | None = None
    before: list[tuple[int, PlanLink]] = field(default_factory=list)
    after: list[tuple[int, PlanLink]] = field(default_factory=list)

    @property
    def length_s(self) -> float:
        """As planned."""
        return self.end_s - self.start_s

    @property
    def by_hand(self) -> bool:
        """Hands on it all the time: it cannot be drawn out by leaving it."""
        return self.task is None or self.task.attention == "throughout"


@dataclass
class Network:
    """All jobs, the stretches of hands, each person's order, and the order in which instants can be reckoned.

    ``lets_go``: jobs whose places are free when they are ready, because waiting for the next stage would go round in
    a circle (two doughs that swap places).
    """

    plan: Plan
    jobs: list[Job]
    pieces: list[Piece]
    previous: dict[int, int] = field(default_factory=dict)
    order: tuple[Instant, ...] = ()
    lets_go: set[int] = field(default_factory=set)

    def held_until(self, job: int) -> Iterator[tuple[int, float]]:
        """Jobs whose start keeps this one where it is, and how long before that start it may leave."""
        if self.jobs[job].by_hand or _breaks_off(self.jobs[job].task) or job in self.lets_go:
            return
        for other, link in self.jobs[job].after:
            if link.max_s is not None and link.before_side == "end" and link.after_side == "start":
                yield other, max(link.max_s, self.jobs[other].start_s - self.jobs[job].end_s)


def network(plan: Plan) -> Network:
    """The network of a plan that has tasks."""
    zero = plan.horizon_start
    jobs = [
        Job(task, (task.start - zero).total_seconds(), (task.end - zero).total_seconds()) for task in plan.tasks
    ]  # fmt: skip
    made = Network(plan, jobs, [])
    by_id = {task.id: index for index, task in enumerate(plan.tasks)}
    for link in plan.links:
        if link.before in by_id and link.after in by_id:
            jobs[by_id[link.after]].before.append((by_id[link.before], link))
            jobs[by_id[link.before]].after.append((by_id[link.after], link))
    _people(made)
    _places(made)
    _ovens(made)
    made.order = _in_order(made)
    return made


def _people(made: Network) -> None:
    zero = made.plan.horizon_start
    for index, task in enumerate(made.plan.tasks):
        for hands in sorted(task.hands, key=lambda h: h.start):
            made.jobs[index].pieces.append(len(made.pieces))
            made.pieces.append(_piece(made, index, task, hands))
    for person in made.plan.people:
        for rest in person.breaks:
            start_s, end_s = (rest.start - zero).total_seconds(), (rest.end - zero).total_seconds()
            made.jobs.append(Job(None, start_s, end_s, pieces=[len(made.pieces)]))
            job = len(made.jobs) - 1
            made.pieces.append(Piece(person.id, job, "through", start_s, end_s - start_s, 0.0))
    mine: dict[str, list[int]] = defaultdict(list)
    for number, piece in sorted(enumerate(made.pieces), key=lambda p: (p[1].start_s, p[1].length_s, p[0])):
        if mine[piece.person]:
            made.previous[number] = mine[piece.person][-1]
        mine[piece.person].append(number)


def _piece(made: Network, index: int, task: PlanTask, hands: Hands) -> Piece:
    job = made.jobs[index]
    start_s = (hands.start - made.plan.horizon_start).total_seconds()
    length_s = (hands.end - hands.start).total_seconds()
    offset_s = start_s - job.start_s
    if task.attention == "throughout":
        return Piece(hands.person, index, "through", start_s, length_s, offset_s, last=hands.end >= task.end)
    if offset_s < max(task.hands_start_s, 1e-6) and task.hands_start_s > 0:
        return Piece(hands.person, index, "first", start_s, length_s, offset_s)
    return Piece(hands.person, index, "last", start_s, length_s, offset_s, breaks_off=_breaks_off(task))


def _breaks_off(task: PlanTask | None) -> bool:
    """Whether somebody leaves other work to end this: bread burns, and a dough is mixed too long."""
    return task is not None and task.kind in ("bake", "mix")


@dataclass(frozen=True)
class _Hold:
    job: int
    number: int
    start_s: float
    end_s: float
    amount: int


def _places(made: Network) -> None:
    zero = made.plan.horizon_start
    holds: dict[str, list[_Hold]] = defaultdict(list)
    for index, task in enumerate(made.plan.tasks):
        job = made.jobs[index]
        for use in task.uses:
            start_s, end_s = (use.start - zero).total_seconds(), (use.end - zero).total_seconds()
            if end_s > start_s and use.amount > 0:
                holds[use.resource].append(_Hold(index, len(job.lets), start_s, end_s, use.amount))
            after_start_s = end_s - job.start_s if start_s == job.start_s and end_s < job.end_s else 0.0
            job.lets.append(Let(job.end_s - end_s, after_start_s))
    for resource in made.plan.resources:
        mine = holds[resource.id]
        pieces = [
            ((c.start - zero).total_seconds(), (c.end - zero).total_seconds(), c.capacity) for c in resource.calendar
        ]
        for hold in mine:
            there = next((c for a, b, c in pieces if a <= hold.start_s < b), resource.capacity)
            take = _take(made, resource.id, hold, mine, there)
            if take is not None:
                made.jobs[hold.job].takes.append(take)


def _take(made: Network, resource: str, hold: _Hold, all_of_it: Sequence[_Hold], capacity: int) -> Take | None:
    """What has to be gone before these places are free; None if there is room whatever happens."""
    job = made.jobs[hold.job]
    handed_over = {before for before, link in job.before if link.before_side == "end" and link.max_s is not None}
    held, gone = 0, []
    for other in all_of_it:
        if other is hold or other.job == hold.job or other.start_s > hold.start_s:
            continue
        if other.end_s > hold.start_s:
            held += other.amount
        elif other.job not in handed_over:
            gone.append((other.job, other.number, other.amount))
    late = (made.jobs[other].task for other, _, _ in gone)
    in_turn = any(each is not None and _in_turn(each) for each in (job.task, *late))
    spare = max(0, capacity - hold.amount - held)
    if sum(amount for _, _, amount in gone) <= spare:
        return None
    lead_s = None if hold.start_s <= job.start_s else job.end_s - hold.start_s
    known = lead_s is None and hold.end_s >= job.end_s and (job.by_hand or _breaks_off(job.task))
    return Take(resource, spare, tuple(gone), hold.start_s, lead_s, brief=known and not in_turn)


def _in_turn(task: PlanTask) -> bool:
    """Whether nothing may change places with it: what is kept free from an allergen, and cleaning for that."""
    return bool(task.free_from) or task.kind == "clean"


def _ovens(made: Network) -> None:
    """What is baked in a stretch of a deck goes in when all of the stretch before is out and the deck has changed."""
    zero = made.plan.horizon_start
    changes = {resource.id: resource.change_s for resource in made.plan.resources}
    decks: dict[str, list[tuple[float, float, float]]] = defaultdict(list)
    for stretch in sorted(made.plan.ovens, key=lambda s: (s.start, s.end)):
        start_s, end_s = (stretch.start - zero).total_seconds(), (stretch.end - zero).total_seconds()
        decks[stretch.deck].append((start_s, end_s, stretch.set_temp_c))
    for deck, stretches in decks.items():
        baked = [
            (index, job) for index, job in enumerate(made.jobs)
            if job.task is not None and any(use.resource == deck for use in job.task.uses)
        ]  # fmt: skip
        before: tuple[tuple[int, ...], float] | None = None
        for start_s, end_s, temp_c in stretches:
            inside = [(i, job) for i, job in baked if start_s <= job.start_s and job.end_s <= end_s]
            if not inside:
                continue
            if before is not None:
                change_s = changes.get(deck, {}).get(f"{before[1]:g}>{temp_c:g}", 0.0)
                for _, job in inside:
                    job.heated = (before[0], change_s, deck)
            before = tuple(i for i, _ in inside), temp_c


def _in_order(made: Network) -> tuple[Instant, ...]:
    """All instants, each after everything it waits for; circles are cut where a place is held for the next stage."""
    waits = _waits(made)
    followers: dict[Instant, list[Instant]] = defaultdict(list)
    missing = {instant: len(before) for instant, before in waits.items()}
    for instant, before in waits.items():
        for other in before:
            followers[other].append(instant)
    ready = [(_planned_s(made, instant), instant) for instant, count in missing.items() if not count]
    heapq.heapify(ready)
    done: list[Instant] = []
    known: set[Instant] = set()
    while len(done) < len(missing):
        if not ready:
            cut = _cut(made, missing, known)
            ready = [(_planned_s(made, cut), cut)]
        _, instant = heapq.heappop(ready)
        if instant in known:
            continue
        known.add(instant)
        done.append(instant)
        for follower in followers[instant]:
            missing[follower] -= 1
            if not missing[follower] and follower not in known:
                heapq.heappush(ready, (_planned_s(made, follower), follower))
    return tuple(done)


def _cut(made: Network, missing: dict[Instant, int], known: set[Instant]) -> Instant:
    """The first dough of a circle that does not wait for its next stage to leave its place."""
    stuck = [
        (_planned_s(made, (kind, n)), n)
        for kind, n in missing
        if kind == "gone" and ("gone", n) not in known and ("ready", n) in known
    ]
    if not stuck:
        raise AssertionError("a plan's instants wait for each other in a circle")
    job = min(stuck)[1]
    made.lets_go.add(job)
    return "gone", job


def _planned_s(made: Network, instant: Instant) -> float:
    kind, number = instant
    if kind == "free":
        return made.pieces[number].start_s + made.pieces[number].length_s
    return made.jobs[number].start_s if kind == "start" else made.jobs[number].end_s


def _waits(made: Network) -> dict[Instant, set[Instant]]:
    """What every instant waits for."""
    waits: dict[Instant, set[Instant]] = {}
    for index, job in enumerate(made.jobs):
        start: set[Instant] = set()
        ready: set[Instant] = {("start", index)}
        for before, link in job.before:
            side: Instant = ("ready" if link.before_side == "end" else "start", before)
            (start if link.after_side == "start" else ready).add(side)
        for take in job.takes:
            gone: set[Instant] = {("gone", other) for other, _, _ in take.after}
            (start if take.lead_s is None else ready).update(gone)
        if job.heated is not None:
            start.update(("gone", other) for other in job.heated[0])
        for number in job.pieces:
            piece = made.pieces[number]
            previous = made.previous.get(number)
            if previous is not None and not piece.breaks_off:
                (start if piece.side_of_job == "start" else ready).add(("free", previous))
            late = piece.side == "last" or (piece.last and piece.offset_s > 0)
            own: Instant = ("ready", index) if late else ("start", index)
            waits["free", number] = {own} | ({("free", previous)} if previous is not None else set())
        waits["start", index], waits["ready", index] = start, ready
        waits["gone", index] = {("ready", index), *(("start", other) for other, _ in made.held_until(index))}
    return waits
