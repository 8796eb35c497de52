"""A plan run through many nights at once: the same network, one array of instants per night.

The policy is the plan's own order, moved to the right:

* nothing begins before it is planned, and nothing ends before it is planned;
* what runs late catches up where a stage may be shorter: a dough is taken as soon as it is at its least (``wanted``
  false), or only when it is as far along as the plan means (``wanted`` true);
* a dough that needs less than planned waits, as long as it may; how much too long is counted;
* who does what, on which mixer and deck, and who comes first where places are counted, all stay; a deck changes its
  temperature after its last bake;
* nobody stands idle behind a late dough: work planned for later goes first where it is ready and done by then (by
  hands, on the bench, in a mixer or deck; not where it is unknown how long a place is needed);
* a dough comes out of the mixer and bread out of the oven when it is done, whatever comes next: whoever is named breaks
  off other work for it (the minute or so that costs the other work is left out); anything else stays in its place
  until the next stage has room.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from smallhours.planning.odds.gaps import Hands, first_gap, just_over
from smallhours.planning.odds.network import Instant, Job, Network, Piece, Take
from smallhours.planning.odds.spread import Draws

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Times = NDArray[np.float64]

_NEVER = -1.0e18
_OVER = ("done", "lost")


@dataclass
class Bound:
    """Something an instant waits for: until when (per night), which instant that hangs on, and what it is.

    ``cause``: the resource or person waited for; empty for what lies in the dough or the plan. ``extra``: seconds of
    it that a slow dough (``dough``) or slow hands (``cause``) have added.
    """

    until: Times
    of: Instant | None
    cause: str = ""
    extra: Times | None = None


@dataclass
class Run:
    """Every instant in every night: arrays of shape (nights,). ``bounds``: what each waited for, if asked for."""

    net: Network
    at: dict[Instant, Times] = field(default_factory=dict)
    bounds: dict[Instant, list[Bound]] = field(default_factory=dict)
    factors: dict[int, Times] = field(default_factory=dict)


def run(net: Network, draws: Draws, *, wanted: bool = False) -> Run:
    """Run all nights. ``wanted``: a dough is never taken before it is as far along as planned."""
    return _Runner(net, draws, wanted).run()


def least_s(job: Job, wanted: bool) -> float:
    """How long a job takes at least, when everything goes as forecast: never more than planned."""
    task = job.task
    if task is None:
        return job.length_s
    meant = min(job.length_s, max(task.window.preferred_s, task.window.min_s))
    return min(task.window.min_s, meant) if task.attention == "none" and not wanted else meant


class _Runner:
    def __init__(self, net: Network, draws: Draws, wanted: bool) -> None:
        import numpy as np

        self.np, self.net, self.draws, self.wanted = np, net, draws, wanted
        self.out = Run(net)
        self.at = self.out.at
        self.slow = {n: self._slow(piece) for n, piece in enumerate(net.pieces)}
        self.hands: dict[str, Hands] = {piece.person: Hands() for piece in net.pieces}
        self.needed: dict[int, Times] = {}
        self.lets: dict[tuple[int, int], Times] = {}
        self.last_lets: dict[tuple[int, int], float] = {}

    def _slow(self, piece: Piece) -> Times | float:
        task = self.net.jobs[piece.job].task
        over = task is None or task.state in _OVER
        drawn = None if task is None or over else self.draws.slow(piece.person, task.id)
        return 1.0 if drawn is None else drawn

    def run(self) -> Run:
        for instant in self.net.order:
            kind, number = instant
            match kind:
                case "start":
                    self._settle(instant, self._starts(number))
                    self._fit(instant, number)
                case "ready":
                    self._settle(instant, self._readies(number))
                    self._fit(instant, number)
                case "gone":
                    self.at[instant] = self._gone(number)
                case "free":
                    self.at[instant] = self._free(number)
        return self.out

    def _settle(self, instant: Instant, bounds: list[Bound]) -> None:
        at = bounds[0].until
        for bound in bounds[1:]:
            at = self.np.maximum(at, bound.until)
        self.at[instant], self.out.bounds[instant] = at, bounds

    def _same(self, value_s: float) -> Times:
        return self.np.full(self.draws.nights, value_s)

    def _starts(self, number: int) -> list[Bound]:
        job = self.net.jobs[number]
        self.needed[number] = self._needed(number, job)
        bounds = [Bound(self._same(job.start_s), None), *self._links(number, "start")]
        for take in job.takes:
            if take.lead_s is None and not take.brief:
                bounds += self._taken(take, 0.0)
        if job.heated is not None:
            bounds += [
                Bound(self.at["gone", other] + job.heated[1], ("gone", other), job.heated[2]) for other in job.heated[0]
            ]
        return bounds

    def _links(self, number: int, side: str) -> list[Bound]:
        found = []
        for other, link in self.net.jobs[number].before:
            if link.after_side == side:
                of: Instant = ("ready" if link.before_side == "end" else "start", other)
                found.append(Bound(self.at[of] + link.min_s, of))
        return found

    def _taken(self, take: Take, lead_s: float) -> list[Bound]:
        """When so many of those before are gone that no more than ``spare`` places are still taken."""
        np = self.np
        left = [(self._let(job, let), amount, job) for job, let, amount in self._still_there(take)]
        if sum(amount for _, amount, _ in left) <= take.spare:
            return []
        if take.spare == 0:
            return [Bound(until + lead_s, ("gone", job), take.resource) for until, _, job in left]
        until = np.array([each for each, _, _ in left])
        amounts = np.array([amount for _, amount, _ in left])
        short = (amounts @ (until > take.at_s) > take.spare).nonzero()[
            0
        ]  # in all other nights there is room as planned
        if not len(short):
            return []
        until = until[:, short]
        latest_first = np.argsort(-until, axis=0, kind="stable")
        still_there = np.cumsum(amounts[latest_first], axis=0)
        which = np.argmax(still_there > take.spare, axis=0)
        last = np.take_along_axis(latest_first, which[None, :], axis=0)[0]
        at = self._same(_NEVER)
        at[short] = until[last, np.arange(len(short))] + lead_s
        by = np.full(len(at), -1)
        by[short] = last
        return [
            Bound(np.where(by == n, at, _NEVER), ("gone", left[n][2]), take.resource) for n in np.unique(last).tolist()
        ]

    def _still_there(self, take: Take) -> list[tuple[int, int, int]]:
        """Those of ``take.after`` that in some night may still be in the way."""
        return [each for each in take.after if self._last_let(each[0], each[1]) > take.at_s]

    def _let(self, number: int, which: int) -> Times:
        known = self.lets.get((number, which))
        if known is None:
            let = self.net.jobs[number].lets[which]
            known = self.at["gone", number] - let.before_gone_s
            if let.after_start_s:
                known = self.np.maximum(known, self.at["start", number] + let.after_start_s)
            self.lets[number, which] = known
        return known

    def _last_let(self, number: int, which: int) -> float:
        key = number, which
        if key not in self.last_lets:
            self.last_lets[key] = float(self._let(number, which).max())
        return self.last_lets[key]

    def _readies(self, number: int) -> list[Bound]:
        job = self.net.jobs[number]
        start = self.at["start", number]
        extra = self.needed[number] - least_s(job, self.wanted)
        slow_hands = self.net.pieces[job.pieces[0]].person if job.by_hand and job.pieces else ""
        done = Bound(start + self.needed[number], ("start", number), slow_hands, extra)
        bounds = [Bound(self._same(job.end_s), None), done, *self._links(number, "end")]
        for take in job.takes:
            if take.lead_s is not None:
                bounds += self._taken(take, take.lead_s)
        return bounds

    def _needed(self, number: int, job: Job) -> Times:
        """How long the work or the dough itself takes tonight, once begun."""
        length_s = least_s(job, self.wanted)
        if job.task is None:
            return self._same(length_s)
        factor = None if job.task.state in _OVER else self.draws.needed(job.task)
        needed = self._same(length_s)
        if factor is not None:
            self.out.factors[number] = factor
            needed = factor * length_s
            if job.task.kind == "chill":  # it also rests and firms: not shorter for being quick
                needed = self.np.maximum(needed, length_s)
        for piece_number in job.pieces:
            piece, slower = self.net.pieces[piece_number], self.slow[piece_number] - 1.0
            if job.by_hand and piece.offset_s <= 0:
                needed = needed + slower * length_s
            elif piece.side == "last":
                needed = needed + slower * piece.length_s
        return needed

    def _fit(self, instant: Instant, number: int) -> None:
        """Move an instant to when the places and the hands it needs are there, all at once."""
        job = self.net.jobs[number]
        takes = [take for take in job.takes if take.brief] if instant[0] == "start" else []
        pieces = [n for n in job.pieces if self._waits(self.net.pieces[n], instant[0])]
        moved = bool(takes or pieces)
        while moved:
            moved = False
            for take in takes:
                moved |= self._fit_places(instant, take)
            for piece_number in pieces:
                moved |= self._fit_hands(instant, piece_number)
            moved = moved and len(takes) + len(pieces) > 1

    def _waits(self, piece: Piece, side: str) -> bool:
        return piece.side_of_job == side and not piece.breaks_off

    def _fit_places(self, instant: Instant, take: Take) -> bool:
        np = self.np
        at, number = self.at[instant], instant[1]
        left = [(job, self._let(job, let), amount) for job, let, amount in self._still_there(take)]
        if sum(amount for _, _, amount in left) <= take.spare:
            return False
        starts = np.array([self.at["start", job] for job, _, _ in left])
        ends = np.array([until for _, until, _ in left])
        amounts = np.array([amount for _, _, amount in left])
        end_s = self._same(self.net.jobs[number].end_s)
        begun = first_gap(starts, ends, amounts, take.spare, at, self.needed[number], end_s)
        waited = begun > at
        if not waited.any():
            return False
        for n, where in just_over(ends, begun, waited):
            held_by: Instant = ("gone", left[n][0])
            self.out.bounds[instant].append(Bound(np.where(where, begun, _NEVER), held_by, take.resource))
        self.at[instant] = begun
        return True

    def _fit_hands(self, instant: Instant, piece_number: int) -> bool:
        piece, np = self.net.pieces[piece_number], self.np
        length = self._hands_s(piece_number)
        lead = self._same(0.0) if instant[0] == "start" else length
        wanted_at = self.at[instant] - lead
        if piece.side == "through" and piece.offset_s > 0:  # taken over from somebody else in the middle
            wanted_at = self.at["start", piece.job] + piece.offset_s * self.slow[piece_number]
        begun, waited_for = self.hands[piece.person].earliest(wanted_at, length, piece.start_s)
        until = begun + lead
        moved = until > self.at[instant]
        for other, where in waited_for:
            if (where & moved).any():
                self.out.bounds[instant].append(
                    Bound(np.where(where & moved, until, _NEVER), ("free", other), piece.person)
                )
        if not moved.any():
            return False
        self.at[instant] = np.maximum(self.at[instant], until)
        return True

    def _hands_s(self, piece_number: int) -> Times:
        """How long a stretch of hands takes tonight."""
        piece, slow = self.net.pieces[piece_number], self.slow[piece_number]
        if piece.side == "through" and piece.last:
            return self.np.maximum(self.needed[piece.job] - piece.offset_s * slow, 0.0)
        return self._same(piece.length_s) * slow

    def _gone(self, number: int) -> Times:
        at = self.at["ready", number]
        for other, longest_s in self.net.held_until(number):
            at = self.np.maximum(at, self.at["start", other] - longest_s)
        return at

    def _free(self, number: int) -> Times:
        """When a stretch of hands is done; from now on it is in the person's way."""
        piece, length = self.net.pieces[number], self._hands_s(number)
        if piece.side == "last" or (piece.offset_s > 0 and piece.last):
            until = self.at["ready", piece.job]
        else:
            until = self.at["start", piece.job] + piece.offset_s * self.slow[number] + length
        self.hands[piece.person].take(number, until - length, until)
        return until
