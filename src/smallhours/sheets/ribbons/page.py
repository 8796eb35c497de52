"""What every part of the picture is drawn with: the plan, its strands, the words, the ink and the measures."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from smallhours.planning.plan import OvenStretch, Plan
from smallhours.sheets.ribbons.clock import TimeScale
from smallhours.sheets.ribbons.ink import Ink
from smallhours.sheets.ribbons.lanes import Layout, Measures
from smallhours.sheets.ribbons.shape import Hand
from smallhours.sheets.ribbons.strands import Lane, Strand
from smallhours.sheets.words import Speech

LETTERS = 2.9  # size of words, mm
SMALL = 2.55
AXIS = 3.3
RIGHT = 7.0  # margin after the last instant, mm
LABELS = 36.0  # width of the column with the lanes' names


@dataclass(frozen=True)
class Page:
    """One picture in the making."""

    plan: Plan
    strands: tuple[Strand, ...]
    speech: Speech
    ink: Ink
    hand: Hand
    layout: Layout
    top: float
    foot: float
    measures: Measures

    @property
    def letters(self) -> float:
        """Size of the words beside ribbons, mm."""
        return self.measures.letters

    @property
    def ovens(self) -> list[OvenStretch]:
        """The oven stretches that reach into the picture."""
        return ovens_between(self.plan, self.scale.start, self.scale.end)

    @property
    def scale(self) -> TimeScale:
        """Where instants stand."""
        return self.hand.scale

    def clock(self, at: dt.datetime) -> str:
        """The local time of an instant."""
        return self.speech.clock(at, self.scale.zone)

    def lane_name(self, lane: Lane) -> str:
        """What a lane is called."""
        if lane.role == "racks":
            return self.speech.say("ribbon.racks")
        if lane.name:
            return lane.name
        return self.speech.say("ribbon.by-hand" if lane.role == "by-hand" else "ribbon.room-lane")


def ovens_between(plan: Plan, start: dt.datetime, end: dt.datetime) -> list[OvenStretch]:
    """The oven stretches that reach between two instants, pre-heating included."""
    return [stretch for stretch in plan.ovens if stretch.end > start and stretch.heat_from < end]


def extent(plan: Plan, strands: tuple[Strand, ...]) -> tuple[dt.datetime, dt.datetime]:
    """The stretch of time a picture shows: from the first thing done to the last due time, with a little air."""
    starts = [s.start for s in strands] + [o.heat_from for o in plan.ovens]
    ends = [s.end for s in strands] + [o.end for o in plan.ovens] + [o.due for o in plan.orders]
    if not starts:
        starts, ends = [plan.horizon_start], [plan.horizon_end]
    start, end = min(starts), max([*ends, max(starts)])
    air = max(dt.timedelta(minutes=8), (end - start) * 0.012)
    return start - air, end + air
