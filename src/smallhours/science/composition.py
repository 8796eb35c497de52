"""What something is made of: fractions of its mass, with what is not known kept unknown."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.ranges import checked_not_negative

# g of common salt with 1 g of sodium: molar masses 58.44 and 22.99 g/mol (IUPAC standard atomic weights)
SALT_PER_SODIUM = 58.44 / 22.99
# g of "salt" on a label with 1 g of sodium: EU Regulation 1169/2011, Annex I
LABEL_SALT_PER_SODIUM = 2.5
# what the rounding of published figures may add up to above the whole
_CLOSURE = 0.02


@dataclass(frozen=True)
class Composition:
    """Mass fractions (0 to 1) of what something is made of. ``None`` is unknown, which is never the same as zero.

    ``carbohydrate_fraction`` is by difference and includes fibre and sugars; ``salt_fraction`` (common salt) is part of
    the ash, ``sodium_fraction`` part of the salt.

    Raises OutOfRange for a fraction outside 0 to 1, NaN, or parts that add up to more than the whole.

    >>> Composition(water_fraction=0.9, fat_fraction=0.2)
    Traceback (most recent call last):
        ...
    smallhours.errors.OutOfRange: the parts of a composition add up to 1.100 of its mass
    """

    water_fraction: float | None = None
    protein_fraction: float | None = None
    fat_fraction: float | None = None
    carbohydrate_fraction: float | None = None
    sugars_fraction: float | None = None
    fibre_fraction: float | None = None
    ash_fraction: float | None = None
    alcohol_fraction: float | None = None
    salt_fraction: float | None = None
    sodium_fraction: float | None = None

    def __post_init__(self) -> None:
        for name in NUTRIENTS:
            value = getattr(self, name)
            if value is not None and not 0.0 <= value <= 1.0:
                raise OutOfRange(f"{name} must be 0 to 1 of the mass (found {value})")
        total = sum(getattr(self, name) or 0.0 for name in _PROXIMATES)
        if total > 1.0 + _CLOSURE:
            raise OutOfRange(f"the parts of a composition add up to {total:.3f} of its mass")

    @property
    def label_salt_fraction(self) -> float | None:
        """Salt as an EU label counts it: sodium x 2.5 (Regulation 1169/2011, Annex I). None if sodium is unknown."""
        return None if self.sodium_fraction is None else self.sodium_fraction * LABEL_SALT_PER_SODIUM

    def solids_fraction(self) -> float | None:
        """What is left without water and alcohol; None if the water is unknown."""
        return None if self.water_fraction is None else 1.0 - self.water_fraction - (self.alcohol_fraction or 0.0)


_PROXIMATES = (
    "water_fraction",
    "protein_fraction",
    "fat_fraction",
    "carbohydrate_fraction",
    "ash_fraction",
    "alcohol_fraction",
)
NUTRIENTS: tuple[str, ...] = tuple(f.name for f in fields(Composition))
Part = tuple[float, Composition]


@dataclass(frozen=True)
class Total:
    """How much of something there is in a set of parts, as far as the parts say.

    ``known_g``: sum over the parts that say. ``unknown_mass_g``: mass of the parts that do not.
    ``unknown_at``: their places in the sequence.
    """

    known_g: float
    unknown_mass_g: float = 0.0
    unknown_at: tuple[int, ...] = ()

    @property
    def complete(self) -> bool:
        """Whether every part said."""
        return not self.unknown_at


def total_of(parts: Sequence[Part], nutrient: str) -> Total:
    """How many grams of a nutrient the parts (mass in g, composition) hold, and which of them do not say.

    ``nutrient`` is a field of Composition, such as ``"water_fraction"``.

    Raises OutOfRange for a negative mass, BadInput for a nutrient that is no field.

    Source: mass balance.

    >>> milk, zest = Composition(water_fraction=0.88, sugars_fraction=0.05), Composition(water_fraction=0.725)
    >>> total_of([(200.0, milk), (10.0, zest)], "sugars_fraction")
    Total(known_g=10.0, unknown_mass_g=10.0, unknown_at=(1,))
    """
    if nutrient not in NUTRIENTS:
        raise BadInput(f"a composition has no {nutrient!r}; it has {', '.join(NUTRIENTS)}")
    known, unknown_mass, unknown_at = 0.0, 0.0, []
    for place, (mass_g, composition) in enumerate(parts):
        if checked_not_negative(mass_g, "the mass of a part", "g") == 0.0:
            continue
        fraction = getattr(composition, nutrient)
        if fraction is None:
            unknown_mass += mass_g
            unknown_at.append(place)
        else:
            known += mass_g * fraction
    return Total(known, unknown_mass, tuple(unknown_at))


def mixed(parts: Sequence[Part]) -> Composition:
    """The composition of parts (mass in g, composition) mixed together; unknown where any part of it is unknown.

    Raises OutOfRange if the parts weigh nothing.

    Source: mass balance.

    >>> flour, water = Composition(water_fraction=0.13), Composition(water_fraction=1.0)
    >>> mixed([(100.0, flour), (60.0, water)]).water_fraction
    0.45625
    """
    mass_g = sum(checked_not_negative(m, "the mass of a part", "g") for m, _ in parts)
    if mass_g <= 0.0:
        raise OutOfRange("parts to be mixed must weigh more than zero grams together (found 0)")
    totals = {name: total_of(parts, name) for name in NUTRIENTS}
    return Composition(**{n: min(1.0, t.known_g / mass_g) if t.complete else None for n, t in totals.items()})
