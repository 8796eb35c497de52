"""What has to be begun on which day for a later one, and until when an order can still be met."""

from __future__ import annotations

import datetime as dt
from typing import Literal

from pydantic import AwareDatetime, BaseModel, ConfigDict

AHEAD_SCHEMA = "smallhours.ahead/1"
Beginning = Literal["feed", "soak", "mix", "make", "chill", "take-out", "soften"]
BEGINNINGS: tuple[Beginning, ...] = ("feed", "soak", "mix", "make", "chill", "take-out", "soften")


class AheadPart(BaseModel):
    """Base of the pieces: frozen, nothing unknown inside."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class StageOf(AheadPart):
    """A stage of something: its ``kind``, its own ``name`` if the formula gives one, and what it is ``of``."""

    kind: str
    name: str = ""
    of: str

    def __str__(self) -> str:
        return f"{self.name or self.kind} of {self.of}"


class Begin(AheadPart):
    """One thing to begin on the days before the bake is sold (``night``).

    ``kind``: ``feed`` a preferment or starter, ``soak``, ``mix`` a dough that is kept cold, ``make`` a filling or the
    like, load into the cold (``chill``), ``take-out`` of the freezer, let butter ``soften``. ``what``: its name,
    ``formula`` and ``part`` where it comes from, ``products`` what it is for. ``start``: when; ``end``: when it is
    ready (or comes out of the cold); ``used``: when it is needed, ``used_in``: in which stage of what. ``planned``:
    from a plan; otherwise reckoned back from the due times along the lengths wanted, so that it may be begun no later.
    """

    kind: Beginning
    night: dt.date
    what: str
    formula: str
    part: str
    products: tuple[str, ...]
    mass_g: float
    pieces: int | None = None
    start: AwareDatetime
    end: AwareDatetime | None = None
    used: AwareDatetime | None = None
    used_in: StageOf | None = None
    place: str = ""
    planned: bool = False
    rests_on: str = ""


class CutOff(AheadPart):
    """The latest time at which an order of a product can be met, if everything else makes room for it.

    ``due``: when it would be due; ``pieces``: how many (as many as are ordered, else as stand on one pan); ``latest``:
    when its first stage (``first``) must begin, each stage as short as it can be that night. ``ordered``: whether
    somebody ordered it for then.
    """

    night: dt.date
    product: str
    name: str
    pieces: int
    due: AwareDatetime
    latest: AwareDatetime
    first: StageOf
    ordered: bool = True


class AheadDay(AheadPart):
    """A day of the kitchen's calendar: what is to be begun, and which orders can be met until when on it."""

    day: dt.date
    begin: tuple[Begin, ...] = ()
    cut_offs: tuple[CutOff, ...] = ()


class Ahead(AheadPart):
    """The days ahead. ``rests_on``: what the cut-off times rest on; ``notes``: what could not be looked at."""

    schema_name: str = AHEAD_SCHEMA
    kitchen: str
    kitchen_name: str
    timezone: str
    made_at: AwareDatetime
    days: tuple[AheadDay, ...] = ()
    rests_on: str = ""
    notes: tuple[str, ...] = ()
