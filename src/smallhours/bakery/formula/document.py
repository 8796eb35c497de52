"""The formula document: parts in baker's percentages, stages, yield, shaping, pans.

Percentages stand on a basis that the part names itself (``percent_on``): its own flour (``part``, the trade's
usual way), all flour of the formula with the flour inside preferments (``total``), the part's own mass
(``mass``: true percentages), or one ingredient of the part (its key: a filling on its butter). A part may
instead be written in masses; its percentages then follow from them.

On ``total`` a line says how much of its ingredient there is in all, what comes in with a preferment or soaker
included (68 % water is 68 % in all; what the preferment does not bring is added to the dough).
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import Field

from smallhours.bakery.document import Document, Slug, Words
from smallhours.bakery.quantity import Celsius, Grams, Millimetres, Percent, Seconds
from smallhours.errors import Fault

PartKind = Literal["dough", "preferment", "soaker", "filling", "glaze", "wash", "topping", "roll-in", "batter"]
StageKind = Literal[
    "weigh", "mix", "ferment", "fold", "rest", "chill", "divide", "sheet", "fill", "roll", "slice", "shape",
    "pan", "proof", "retard", "temper", "bake", "cool", "finish", "pack",
]  # fmt: skip
Place = Literal["mixer", "bench", "room", "fridge", "freezer", "proofer", "oven", "rack"]
Attention = Literal["throughout", "ends", "none"]


class Line(Document):
    """One ingredient (or one other part) in a part, with how much and when it goes in.

    ``percent`` is on the part's basis; ``mass_g`` is for a part written in masses; ``flour_percent`` (another
    part only) is the share of all flour that comes in with it. ``addition`` numbers the moments at which
    things go into the bowl (1 first); ``after_development`` marks what waits until the gluten is developed.
    ``tempered`` marks the liquid whose temperature steers the dough. ``temp_c`` is the temperature at which
    it must go in (soft but cool butter). ``household`` is the measure a home version prints ("2 1/2 cup").
    """

    ingredient: Slug | None = None
    part: Slug | None = None
    percent: Percent | None = None
    mass_g: Grams | None = None
    flour_percent: Percent | None = None
    addition: int = Field(default=1, ge=1, le=20)
    after_development: bool = False
    tempered: bool = False
    temp_c: Celsius | None = None
    household: Words | None = None
    note: Words | None = None

    def faults(self) -> Iterable[Fault]:
        name = self.ingredient or self.part or "?"
        if (self.ingredient is None) == (self.part is None):
            yield Fault(name, "a line names either an ingredient or a part")
        given = [x for x in (self.percent, self.mass_g, self.flour_percent) if x is not None]
        if len(given) != 1:
            yield Fault(name, "a line has exactly one of percent, mass or flour_percent")
        if self.flour_percent is not None and self.part is None:
            yield Fault(name, "flour_percent is for a part that carries flour into this one; use percent")


class Part(Document):
    """A part of a formula: the dough, a preferment, a soaker, a filling, a glaze, a wash.

    How much of it there is: a part named in another part's lines is sized by that line. Any other part but
    the main one has exactly one of ``ratio_percent`` (of the mass of part ``ratio_to``), ``mass_per_piece_g`` or
    ``mass_per_pan_g``. ``keeps_s``: how long it may wait, ready, before it is used; ``keeps_in``: where.
    ``target_temp_c``: the temperature wanted at the end of its mixing. ``fill_bowl``: if less is needed than the
    smallest bowl takes, that much is made and the rest is left over (else less is made, with a warning).
    """

    id: Slug
    name: Words
    kind: PartKind = "dough"
    percent_on: Slug = "part"
    lines: tuple[Line, ...] = Field(min_length=1, max_length=60)
    ratio_percent: Percent | None = None
    ratio_to: Slug | None = None
    mass_per_piece_g: Grams | None = None
    mass_per_pan_g: Grams | None = None
    target_temp_c: Celsius | None = None
    keeps_s: Seconds | None = None
    keeps_in: Place | None = None
    fill_bowl: bool = False

    def faults(self) -> Iterable[Fault]:
        for number, line in enumerate(self.lines, 1):
            for fault in line.faults():
                yield Fault(f"line {number} ({fault.where})", fault.what)
        by_mass = [line.mass_g is not None for line in self.lines]
        if any(by_mass) and not all(by_mass):
            yield Fault("lines", "write all lines in percent or all in masses, not some of each")
        sizes = [x for x in (self.ratio_percent, self.mass_per_piece_g, self.mass_per_pan_g) if x is not None]
        if len(sizes) > 1:
            yield Fault("", "give one of ratio_percent, mass_per_piece or mass_per_pan, not several")
        if (self.ratio_percent is None) != (self.ratio_to is None):
            yield Fault("", "ratio_percent and ratio_to go together")


class Way(Document):
    """One way to go through a stage: where, how long, between which limits.

    ``duration_s`` is the baker's reference at ``at_temp_c``. ``temper_s``: the last stretch, spent out of the
    cold in the room.
    """

    place: Place
    duration_s: Seconds
    min_s: Seconds | None = None
    max_s: Seconds | None = None
    at_temp_c: Celsius | None = None
    temper_s: Seconds | None = None
    name: Words | None = None

    def faults(self) -> Iterable[Fault]:
        low = self.duration_s if self.min_s is None else self.min_s
        high = self.duration_s if self.max_s is None else self.max_s
        if not low <= self.duration_s <= high:
            yield Fault("", "min <= duration <= max does not hold")
        if self.temper_s is not None and self.temper_s > low:
            yield Fault("temper", "is longer than the shortest length of this way")


class Stage(Document):
    """One stage in the life of a part: what is done, where, for how long, and who must be there.

    ``duration_s`` is the reference length at ``at_temp_c``; ``per_piece_s`` is added for every piece (hand work);
    ``min_s``/``max_s`` are the limits a plan may use. For mixing, ``low_s`` and ``high_s`` are the minutes on
    first and second speed. ``attention``: hands-on ``throughout``, at its ``ends`` only (``hands_start_s``,
    ``hands_end_s``), or ``none``. ``uses``: parts that come in here. ``instead``: other ways to do this stage.
    ``rise``: volume at its end over volume after mixing. ``set_temp_c`` .. ``set_temp_give_k``: the oven and how far
    it may be off; ``core_temp_c``: baked when the core has reached it; ``steam``: steam wanted at loading, and
    ``shut_s``: the oven stays shut for so long after it (10 min if not said); ``oven``: the kind of oven this bake
    needs (either, if not said).
    """

    kind: StageKind
    id: Slug | None = None
    part: Slug | None = None
    name: Words | None = None
    place: Place | None = None
    duration_s: Seconds | None = None
    per_piece_s: Seconds | None = None
    min_s: Seconds | None = None
    max_s: Seconds | None = None
    at_temp_c: Celsius | None = None
    temper_s: Seconds | None = None
    low_s: Seconds | None = None
    high_s: Seconds | None = None
    attention: Attention | None = None
    hands_start_s: Seconds | None = None
    hands_end_s: Seconds | None = None
    uses: tuple[Slug, ...] = ()
    instead: tuple[Way, ...] = ()
    rise: float | None = Field(default=None, ge=1, le=10)
    set_temp_c: Celsius | None = None
    set_temp_give_k: float = Field(default=0, ge=0, le=30)
    core_temp_c: Celsius | None = None
    steam: bool = False
    shut_s: Seconds | None = None
    oven: Literal["deck", "convection"] | None = None
    note: Words | None = None

    @property
    def key(self) -> str:
        """What other documents call this stage: its id, or its kind."""
        return self.id or self.kind

    def faults(self) -> Iterable[Fault]:
        if self.duration_s is None and self.per_piece_s is None and self.low_s is None and self.high_s is None:
            yield Fault("duration", "is missing: every stage needs a reference length")
        if self.kind == "bake" and self.set_temp_c is None:
            yield Fault("set_temp", "is missing: a bake needs the oven's set temperature")
        if self.min_s is not None and self.max_s is not None and self.min_s > self.max_s:
            yield Fault("min", "is longer than max")
        if self.shut_s is not None and not self.steam:
            yield Fault("shut", "says how long the oven stays shut for steam, but no steam is wanted")
        for way in self.instead:
            for fault in way.faults():
                yield Fault(f"instead ({way.place})", fault.what)


class Sheet(Document):
    """A dough sheet: rolled to length x width x thickness, rolled up along one side, cut in slices.

    ``roll_along`` names the side that becomes the length of the log. ``folds``: fold factors of a laminated
    dough (3 letter fold, 4 book fold); ``lock_in_layers``: layers of butter once it is folded in (1 for an
    envelope, 2 for butter over two thirds of the dough folded in three); ``claimed_layers``: what a published
    formula says of itself, for the audit.
    """

    length_mm: Millimetres
    width_mm: Millimetres
    thickness_mm: Millimetres | None = None
    dough_mass_g: Grams | None = None
    roll_along: Literal["length", "width"] | None = None
    slice_width_mm: Millimetres | None = None
    slices: int | None = Field(default=None, ge=1, le=1000)
    folds: tuple[int, ...] = ()
    lock_in_layers: int = Field(default=1, ge=1, le=10)
    claimed_layers: int | None = Field(default=None, ge=1)
    pieces: int | None = Field(default=None, ge=1, le=1000)


class Shaping(Document):
    """How pieces are made: by ``sheet``, or divided by weight and shaped (``form``), from ``strands`` for a braid."""

    form: Literal["round", "log", "strand", "braid", "loaf", "flat", "sheet", "scoop", "cut"] = "round"
    sheet: Sheet | None = None
    strands: int | None = Field(default=None, ge=2, le=12)
    strand_length_mm: Millimetres | None = None
    piece_length_mm: Millimetres | None = None
    piece_width_mm: Millimetres | None = None
    note: Words | None = None


class Yield(Document):
    """What comes out: mass of a piece and what is lost on the way.

    ``piece_mass_g``: main part per piece as it is divided; ``baked_mass_g``: a piece as sold (then the divided mass
    is worked backwards). Losses are shares of what enters the step, in percent.
    ``claimed_*``: what a published formula says of itself, for the audit.
    """

    piece_mass_g: Grams | None = None
    baked_mass_g: Grams | None = None
    mix_loss_percent: Percent = 1.0
    divide_loss_percent: Percent = 1.0
    bake_loss_percent: Percent = 12.0
    claimed_mass_g: Grams | None = None
    claimed_pieces: int | None = Field(default=None, ge=1)

    def faults(self) -> Iterable[Fault]:
        if (self.piece_mass_g is None) == (self.baked_mass_g is None):
            yield Fault("", "give either piece_mass (as divided) or baked_mass (as sold)")
        for name in ("piece_mass_g", "baked_mass_g"):
            if getattr(self, name) == 0:
                yield Fault(name, "must be more than 0 g")
        for name in ("mix_loss_percent", "divide_loss_percent", "bake_loss_percent"):
            if getattr(self, name) >= 60:
                yield Fault(name, f"must be under 60 (found {getattr(self, name):g})")


class Formula(Document):
    """A whole formula: one product, or a base dough that several products share.

    ``base``: the id of the formula whose parts and stages come first (burger buns made from the braid's dough).
    ``main``: the part that is divided into pieces. ``pan`` and ``pieces_per_pan``: on or in what it stands from
    panning to the end of baking.
    ``fresh_s``: it should be sold within this time after it is ready. ``free_from``: allergens that mixers and benches
    are to be clean of when it is made: a wish to the plan, no promise to anybody who eats it.
    """

    id: Slug
    name: Words
    base: Slug | None = None
    main: Slug = "dough"
    parts: tuple[Part, ...] = ()
    output: Yield | None = Field(default=None)
    shaping: Shaping | None = None
    pan: Slug | None = None
    pieces_per_pan: int = Field(default=1, ge=1, le=500)
    stages: tuple[Stage, ...] = ()
    fresh_s: Seconds | None = None
    free_from: tuple[Slug, ...] = ()
    cautions: tuple[Words, ...] = ()
    note: Words | None = None

    def part(self, part_id: str) -> Part:
        """The part of that id. Raises KeyError."""
        return next_by_id(self.parts, part_id)

    def stages_of(self, part_id: str) -> tuple[Stage, ...]:
        """The stages of one part, in order (a stage that names no part belongs to the main part)."""
        return tuple(stage for stage in self.stages if (stage.part or self.main) == part_id)

    def faults(self) -> Iterable[Fault]:
        from smallhours.bakery.formula.structure import faults_of  # the checks need the classes above

        return faults_of(self)


def next_by_id(parts: tuple[Part, ...], part_id: str) -> Part:
    """The first part of that id. Raises KeyError."""
    for part in parts:
        if part.id == part_id:
            return part
    raise KeyError(part_id)
