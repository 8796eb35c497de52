"""Looking for cures: one change after the other is planned, and of each kind the smallest that cures is kept."""

from __future__ import annotations

import math
import time
from collections.abc import Mapping
from dataclasses import dataclass, field

from smallhours.bakery.shift.variation import Helper, Variation, both
from smallhours.errors import BadInput
from smallhours.planning.engine.problem import Placed
from smallhours.planning.shift import people as staff
from smallhours.planning.whatif.attempt import Attempt, Thinking, night_of, tried
from smallhours.planning.whatif.compare import OnStep
from smallhours.planning.whatif.families import Family
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.say import said
from smallhours.planning.whatif.varied import HELPER, varied

_SLACK_S = 1.0
STEPWISE = ("pans", "places")


@dataclass(frozen=True)
class Found:
    """A change that cures, and the night with it. ``cured``: places of the orders that are on time with it; ``own``:
    the change itself, where it was tried together with another."""

    variation: Variation
    attempt: Attempt
    cured: frozenset[int]
    trouble: float
    own: Variation | None = None

    @property
    def all_on_time(self) -> bool:
        """Whether nothing is late with it."""
        return self.attempt.all_late_s == 0


@dataclass
class Trials:
    """Changes of one night being tried. ``base``: the night as it is; ``until``: when to stop, on the clock of
    ``time.monotonic``."""

    given: Given
    base: Attempt
    thinking: Thinking
    until: float
    on_step: OnStep | None = None
    expected: int = 0
    tried: int = 0
    out_of_time: bool = False
    looked_at: list[Family] = field(default_factory=list)
    _known: dict[str, Attempt | None] = field(default_factory=dict)

    @property
    def over(self) -> bool:
        """Whether it is time to stop."""
        if self.thinking.stop.stopped or time.monotonic() >= self.until:
            self.out_of_time = True
        return self.out_of_time

    def attempt(self, variation: Variation, hint: Mapping[str, Placed] | None = None) -> Attempt | None:
        """The night with a change; None where it cannot be planned at all, or time is over."""
        key = variation.model_dump_json()
        if key in self._known:
            return self._known[key]
        if self.over:
            return None
        self.tried += 1
        if self.on_step is not None:
            self.on_step(self.tried, max(self.expected, self.tried), said(variation, self.given))
        try:
            of = night_of(varied(self.given, variation))
            self._known[key] = tried(of, self.thinking, hint=hint or self.base.solution.placed)
        except BadInput:
            self._known[key] = None
        return self._known[key]

    def cured(self, attempt: Attempt | None) -> frozenset[int]:
        """The orders that were late and are on time; none where another has become later for it."""
        if attempt is None or not attempt.fits:
            return frozenset()
        before = self.base.late_s
        if any(late_s > before.get(n, 0.0) + _SLACK_S for n, late_s in attempt.late_s.items()):
            return frozenset()
        return frozenset(n for n, late_s in attempt.late_s.items() if not late_s and before[n])

    def forget(self) -> None:
        """Forget what was tried: the night as it is has become another."""
        self._known.clear()

    def helpful(self) -> list[tuple[Family, Attempt]]:
        """The kinds of change whose largest makes the night less late in all, and the night with it."""
        found = ((family, self._known.get(family.vary(family.most).model_dump_json())) for family in self.looked_at)
        return [
            (family, attempt)
            for family, attempt in found
            if attempt is not None and 0 < attempt.all_late_s < self.base.all_late_s
        ]

    def smallest(self, family: Family, prefix: Variation | None = None) -> Found | None:
        """The smallest change of a family that cures as much as its largest does; None if that cures nothing."""
        start = prefix or Variation()
        if prefix is None:
            self.looked_at.append(family)

        def cures(amount: int) -> tuple[frozenset[int], Attempt | None]:
            attempt = self.attempt(both(start, family.vary(amount)))
            return self.cured(attempt), attempt

        late = {n for n, late_s in self.base.late_s.items() if late_s}
        amount, (cured, attempt) = family.most, cures(family.most)
        if family.kind in STEPWISE and family.most > 1 and cured != late:  # of these, more may change how it is divided
            one, alone = cures(1)
            amount, cured, attempt = (1, one, alone) if len(one) > len(cured) else (amount, cured, attempt)
        if not cured or attempt is None:
            return None
        if amount > 1:
            amount, cured, attempt = self._between(family, start, cured, attempt)
        own = family.vary(amount)
        return Found(both(start, own), attempt, cured, family.trouble(amount), own)

    def _between(
        self, family: Family, start: Variation, wanted: frozenset[int], there: Attempt
    ) -> tuple[int, frozenset[int], Attempt]:
        """The smallest amount that cures these orders, found by halving; the largest does (``there``)."""
        too_little, enough = 0, family.most
        while enough - too_little > 1 and not self.over:
            middle = (enough + too_little) // 2
            hint = there.solution.placed if family.kind == "later" else None
            attempt = self.attempt(both(start, family.vary(middle)), hint)
            if attempt is not None and self.cured(attempt) >= wanted:
                enough, there = middle, attempt
            else:
                too_little = middle
        return enough, self.cured(there), there

    def made_good(self, found: Found) -> Found:
        """The change with a plan that is good in everything else too; a helper comes only when needed."""
        best = tried(found.attempt.of, self.thinking, "best", found.attempt.solution.placed)
        better = found if self.cured(best) < found.cured else self._with(found, found.variation, best)
        if not found.variation.helpers or not better.attempt.solution.there:
            return better
        trimmed = _needed_only(found.variation, better.attempt)
        if trimmed is None:
            return better
        of = night_of(varied(self.given, trimmed))
        again = tried(of, self.thinking, "best", better.attempt.solution.placed)
        return better if self.cured(again) < found.cured else self._with(found, trimmed, again)

    def _with(self, found: Found, variation: Variation, attempt: Attempt) -> Found:
        return Found(variation, attempt, self.cured(attempt), found.trouble)


def _needed_only(variation: Variation, attempt: Attempt) -> Variation | None:
    """The variation with its last helper there only from the first to the last hand that is needed of them."""
    of = attempt.of
    needed = staff.needed(of.question.present, attempt.solution.there.get(staff.POOL, ()))
    helpers = [presence for presence in needed if presence.person.id.startswith(HELPER)]
    if not helpers or len(helpers[-1].stretches) != 1:
        return None
    zone = of.given.kitchen.zone()
    start, end = (of.night.clock.instant(t).astimezone(zone).time() for t in helpers[-1].stretches[0])
    new = Helper(name=variation.helpers[-1].name, start=start, end=end)
    return variation.model_copy(update={"helpers": (*variation.helpers[:-1], new)})


def sound_late_s(attempt: Attempt) -> float:
    """How late all is together, as a number that can be told (0 where nothing fits)."""
    return 0.0 if math.isinf(attempt.all_late_s) else attempt.all_late_s
