"""What the templates of the form walk through: parts with lines, stages with ways, each with its names."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from smallhours.actions.known_ingredients import KnownIngredients
from smallhours.actions.show_formula import ShownFormula, ShownLine
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.sheets.words import Speech
from smallhours.web.formula_form import rows
from smallhours.web.formula_form.places import Index, rows_of

Option = tuple[str, str]


@dataclass(frozen=True)
class Row:
    """A row of the form: the beginning of its names (``p0-l3-``)."""

    at: str

    @property
    def drop(self) -> str:
        """What the button says that takes it away."""
        return f"drop:{self.at[:-1]}"

    @property
    def up(self) -> str:
        """What the button says that moves it up."""
        return f"up:{self.at[:-1]}"

    @property
    def up_key(self) -> str:
        """The id of that button, to go on with it."""
        return f"{self.at}up"


@dataclass(frozen=True)
class LineRow(Row):
    """A line of a part: what it is of, as typed, and what the draft says of it."""

    what: str
    of_part: bool
    shown: ShownLine | None


@dataclass(frozen=True)
class PartRow(Row):
    """A part; ``mass_g`` of it in the draft."""

    name: str
    is_main: bool
    lines: tuple[LineRow, ...]
    mass_g: float | None

    @property
    def add_line(self) -> str:
        """What the button says that adds a line."""
        return f"add:{self.at}l"


@dataclass(frozen=True)
class StageRow(Row):
    """A stage with its other ways; ``uses``: fields of the parts that may come in; ``faulty``: something is wrong."""

    kind: str
    name: str
    ways: tuple[Row, ...]
    uses: tuple[Option, ...]
    faulty: bool

    @property
    def add_way(self) -> str:
        """What the button says that adds a way."""
        return f"add:{self.at}w"


@dataclass(frozen=True)
class FormView:
    """The form on a page. ``shown``: the draft laid open (None while something is wrong); ``english``: which
    faults are said in English, as documents say them."""

    texts: Mapping[str, str]
    faults: Mapping[str, str]
    shown: ShownFormula | None
    known: KnownIngredients
    speech: Speech
    kitchen: Kitchen | None = None
    english: Mapping[str, bool] = field(default_factory=dict)
    index: Index = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "index", rows_of(self.texts))

    def parts(self) -> tuple[PartRow, ...]:
        """The parts with their lines."""
        found = []
        names = {label.casefold() for _, label in self.part_options()}
        for n in self.index["p"]:
            at = f"p{n}-"
            own = self.texts.get(at + "id", "")
            is_main = own == (self.texts.get("main") or "dough")
            part = self._shown_part(own)
            lines = tuple(self._line(f"{at}l{m}-", names) for m in self.index[at + "l"])
            if part is not None:
                lines = self._with_shown(lines, list(part.lines))
            name = self.texts.get(at + "name", "")
            found.append(PartRow(at, name, is_main, lines, None if part is None else part.mass_g))
        return tuple(found)

    def stages(self) -> tuple[StageRow, ...]:
        """The stages with their ways."""
        found = []
        for n in self.index["s"]:
            at, main = f"s{n}-", self.texts.get("main") or "dough"
            kind = self.texts.get(at + "kind", "")
            name = self.texts.get(at + "name", "") or self.speech.or_own(f"stage.{kind}", None)
            ways = tuple(Row(f"{at}w{m}-") for m in self.index[at + "w"])
            uses = tuple((f"{at}uses-{key}", label) for key, label in self.part_options() if key != main)
            hidden = [name for name in self.faults if name.startswith(at)]
            found.append(StageRow(at, kind, name, ways, uses, bool(hidden)))
        return tuple(found)

    def names(self) -> tuple[str, ...]:
        """What a line may be of: this formula's parts, then every ingredient."""
        parts = [label for _, label in self.part_options()]
        return (*parts, *(self.known.name_of(stuff.key, self.speech.lang) for stuff in self.known.stuffs))

    def whole_fault(self) -> str:
        """What is wrong with the formula as a whole."""
        return self.faults.get("", "")

    def has_shape(self) -> bool:
        """Whether anything is said of how pieces are made."""
        return any(text and name.startswith(("shape-", "sheet-")) for name, text in self.texts.items())

    def from_base(self) -> tuple[object, ...]:
        """Parts of the draft that are its base's."""
        own = {self.texts.get(f"p{n}-id") for n in self.index["p"]}
        return () if self.shown is None else tuple(one for one in self.shown.parts if one.part.id not in own)

    def part_options(self) -> tuple[Option, ...]:
        """The parts by id and name, the base's too."""
        own = [(self.texts.get(f"p{n}-id", ""), self.texts.get(f"p{n}-name", "")) for n in self.index["p"]]
        based = [(one.part.id, one.part.name) for one in self.from_base()]
        return tuple((key, name or key) for key, name in [*based, *own])

    def pans(self) -> tuple[Option, ...]:
        """The kitchen's pans, and the formula's own if the kitchen does not have it."""
        there = [] if self.kitchen is None else [(pan.id, pan.name) for pan in self.kitchen.pans]
        own = self.texts.get("pan", "")
        return tuple(there if not own or own in dict(there) else [*there, (own, own)])

    def words(self, section: str, keys: tuple[str, ...]) -> tuple[Option, ...]:
        """Words of a section as options."""
        return tuple((key, self.speech.or_own(f"{section}.{key}", None)) for key in keys)

    def options(self, name: str) -> tuple[Option, ...]:
        """The options of a field, by the end of its name."""
        end = name.rpartition("-")[2] if not name.endswith("keeps-in") else "keeps-in"
        match end:
            case "kind" if name.startswith("p"):
                return self.words("part-kind", rows.PART_KINDS)
            case "kind":
                return self.words("stage", rows.STAGE_KINDS)
            case "place" | "keeps-in":
                return self.words("place", rows.PLACES)
            case "form":
                return self.words("form", rows.FORMS)
            case "oven":
                return self.words("kind", rows.OVENS)
            case "attention":
                return self.words("attention", rows.ATTENTION)
            case "along":
                return self.words("side", ("length", "width"))
            case "unit":
                return self.words("unit-of-line", ("percent", "flour_percent"))
            case "in":
                return self.words("written-in", ("percent", "mass"))
            case "mark":
                marks = ("tempered", "developed")
                return tuple((mark, self.speech.say(f"formula-page.{mark}")) for mark in marks)
            case "size":
                return self.words("size-of-part", ("ratio", "piece", "pan"))
            case "by" if name == "amount-by":
                return self.words("amount-by", ("pieces", "pans", "dough", "flour"))
            case "by":
                return self.words("piece-by", ("divided", "sold"))
            case "on":
                return self._bases(name.removesuffix("on"))
            case "pan":
                return self.pans()
            case "part" | "to":
                return self.part_options()
        return ()

    def _bases(self, at: str) -> tuple[Option, ...]:
        keys = [self.known.key_of(self.texts.get(f"{at}l{m}-what", "")) for m in self.index[at + "l"]]
        own = self.texts.get(at + "on", "part")
        named = [key for key in dict.fromkeys([*keys, own]) if key and key not in ("part", "total", "mass")]
        plain = self.words("basis-of-part", ("part", "total", "mass"))
        return (*plain, *((key, self.known.name_of(key, self.speech.lang)) for key in named))

    def _shown_part(self, part_id: str):
        return None if self.shown is None else next((one for one in self.shown.parts if one.part.id == part_id), None)

    def _line(self, at: str, names: set[str]) -> LineRow:
        what = self.texts.get(at + "what", "")
        return LineRow(at, what, " ".join(what.split()).casefold() in names, None)

    def _with_shown(self, lines: tuple[LineRow, ...], shown: list[ShownLine]) -> tuple[LineRow, ...]:
        """Lines in which nothing is filled in are not in the draft."""
        told = []
        for line in lines:
            filled = any(self.texts.get(line.at + name, "").strip() for name in ("what", "amount"))
            told.append(replace(line, shown=shown.pop(0) if filled and shown else None))
        return tuple(told)
