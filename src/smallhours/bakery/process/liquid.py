"""How cold or warm the liquid must be for a dough to leave the mixer on target, and what to do when that cannot be.

Two answers side by side: the sum rule of the trade, as the board in the bakery has it, and a heat balance over
everything in the bowl. In lean doughs they agree within a few degrees; in rich ones only the balance holds.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from smallhours.bakery.formula.amounts import Amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.leaven import raises
from smallhours.bakery.formula.part_amounts import part_amounts
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process.bowl import BowlItem, Measured, bowl_items, flour_c, room_c
from smallhours.bakery.process.mixing_heat import MixingHeat, mixing_heat
from smallhours.bakery.quantity import say_temp
from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.reference.defaults import cardinal_temperatures
from smallhours.science.dough_temperature import (
    Ice,
    Portion,
    dough_temp_c,
    ice_for_dough_g,
    liquid_temp_c,
    mixing_rise_k,
    water_temp_by_rule_c,
)
from smallhours.science.fermentation import activity_fraction

HOTTEST_LIQUID_C = 45.0
"""Warmest liquid that is poured on yeast: it dies from about 55 °C, dry yeast is dissolved at up to 43 °C (trade)."""
HOTTEST_WITHOUT_YEAST_C = 30.0
"""Warmest that is poured where no yeast wants it warm (batters, scones): milk and eggs come room-warm, and anything
hotter melts the fat and wakes the baking powder in the bowl. Judgement."""
HOTTEST_EGG_C = 40.0
"""Warmest that egg is poured: it sets from about 60 °C (common practice); the margin is a judgement."""
MOST_ICE_FRACTION = 0.30
"""Most of the water that can be ice in a short mix, so that it melts before the end (common practice)."""
UNTRAINED_DOUGH_K = 2.0
"""How far the dough may end off the target before the mixer's own figures are known. Judgement: no measurement behind
it; the range of the liquid is what this range of the dough means for it."""
FAR_APART_K = 8.0
"""Sum rule and balance that differ by more than this are explained. Judgement."""
CLOSE_ENOUGH_K = 0.5
"""A dough no further off than this is on target: nearer than a probe in a dough tells. Judgement."""
_NOTHING_TO_DO_K = 0.05


@dataclass(frozen=True)
class Contribution:
    """What one thing in the bowl does: ``heat_j`` is what it takes up to reach the target (negative: it gives)."""

    key: str
    name: str
    mass_g: float
    temp_c: float
    specific_heat_j_per_g_k: float
    heat_j: float
    tempered: bool = False
    reckoned: bool = False


@dataclass(frozen=True)
class Refusal:
    """Why the target cannot be met, and what would meet it.

    ``dough_temp_c``: what the dough will be with the best that can be poured. ``flour_temp_c``: the flour that would
    do (None if none between -5 and 40 °C would). ``ice_g``: ice that would do, more than surely melts in the mixer
    (None if there is not so much water). ``mix_less_s``: seconds less on second speed, then first (None if mixing less
    is not enough). ``rest_factor``: how many times as long the dough must rest, being off target (1 without yeast).
    """

    reason: Literal["too_cold", "too_hot"]
    dough_temp_c: float
    flour_temp_c: float | None
    ice_g: float | None
    mix_less_s: float | None
    rest_factor: float
    sentence: str


@dataclass(frozen=True)
class LiquidAnswer:
    """How to pour.

    ``liquid_temp_c``: pour it like this; ``balance_temp_c``: what the heat balance asks for, even if nothing can be
    poured like that; ``low_c``..``high_c``: its range (judgement, see ``UNTRAINED_DOUGH_K``), as far as it can be
    poured; ``rule_temp_c``: what the sum rule says; ``rule_remark``: why that is far off, where it is. ``ice_g`` comes
    out of the water. ``dough_temp_c``: what the dough will be.
    """

    part_id: str
    target_c: float
    liquids: tuple[str, ...]
    liquid_names: tuple[str, ...]
    liquid_g: float
    liquid_temp_c: float
    balance_temp_c: float
    low_c: float
    high_c: float
    rule_temp_c: float
    ice_g: float
    dough_temp_c: float
    heat: MixingHeat
    contributions: tuple[Contribution, ...]
    sentence: str
    rule_remark: str = ""
    refusal: Refusal | None = None


def liquid_for(
    formula: Formula,
    pantry: Pantry,
    kitchen: Kitchen,
    part_id: str,
    mass_g: float,
    mixer_id: str | None = None,
    measured: Measured | None = None,
) -> LiquidAnswer:
    """How cold (or warm) must the liquid be for this batch?

    Parameters: ``formula``: joined with its base; ``mass_g``: of the part, at weigh-up; ``mixer_id``: None for by hand;
    ``measured``: today's readings in place of the kitchen's.
    A target that cannot be met is not an error: the answer holds the best that can be poured and a ``refusal``.
    Raises: BadInput if the part has no target temperature or no liquid; OutOfRange for a mass that is not above 0 or a
    target outside 0 to 45 °C; NotFound for an unknown part or mixer.
    Source: ``science.dough_temperature`` (first law; the trade's rule with n = 3, or 4 with a preferment).
    """
    if not 0 < mass_g < float("inf"):
        raise OutOfRange(f"the mass of the batch must be more than 0 g (found {mass_g})")
    today = measured or Measured()
    target_c = _target(formula, part_id, today)
    amounts = part_amounts(formula, part_id, mass_g, pantry)
    items = bowl_items(amounts, part_id, pantry, kitchen, today, target_c)
    preferment = next((i for i in items if i.kind == "part" and formula.part(i.key).kind == "preferment"), None)
    known = [room_c(kitchen, today), flour_c(kitchen, today)] + ([preferment.temp_c] if preferment else [])
    heat = mixing_heat(formula, part_id, kitchen, mixer_id, today, len(known) + 1)
    mixer = next((m for m in kitchen.mixers if m.id == mixer_id), None)
    bowl = Portion(mixer.bowl_heat_j_per_k if mixer else 0.0, 1.0, room_c(kitchen, today))
    coldest_c = kitchen.temperatures.coldest_liquid_c if today.coldest_liquid_c is None else today.coldest_liquid_c
    limits = _Limits.of(amounts, part_id, items, pantry, max(coldest_c, 0.0))
    balance = _Balance(items, bowl, heat, target_c, limits)
    return balance.answer(part_id, water_temp_by_rule_c(target_c, known, heat.friction_k))


def _target(formula: Formula, part_id: str, measured: Measured) -> float:
    try:
        part = formula.part(part_id)
    except KeyError:
        names = ", ".join(p.id for p in formula.parts)
        raise BadInput(f"formula {formula.id!r} has no part {part_id!r} (there are: {names})") from None
    target_c = part.target_temp_c if measured.target_c is None else measured.target_c
    if target_c is None:
        raise BadInput(f"part {part_id!r} of formula {formula.id!r} has no target temperature: give it target_temp")
    if not 0 <= target_c <= HOTTEST_LIQUID_C:
        raise OutOfRange(
            f"the target dough temperature must be 0 to {HOTTEST_LIQUID_C:g} °C (found {say_temp(target_c)})"
        )
    return target_c


@dataclass(frozen=True)
class _Limits:
    """Between which temperatures the liquid of a bowl is poured; ``living``: yeast works in it."""

    coldest_c: float
    hottest_c: float
    because: str
    living: bool

    @classmethod
    def of(cls, amounts: Amounts, part_id: str, items: Sequence[BowlItem], pantry: Pantry, coldest_c: float) -> _Limits:
        """The limits for what is poured into this part."""
        fed = [amounts.formula.part(line.key).kind for line in amounts.parts[part_id].lines if line.line.part]
        living = "preferment" in (amounts.formula.part(part_id).kind, *fed) or any(
            mass_g > 0 and raises(pantry.find(key)) for key, mass_g in amounts.ingredients(part_id).items()
        )
        if not living:
            return cls(coldest_c, HOTTEST_WITHOUT_YEAST_C, " without yeast", living)
        if any(item.tempered and item.kind == "egg" for item in items):
            return cls(coldest_c, HOTTEST_EGG_C, " with egg in it", living)
        return cls(coldest_c, HOTTEST_LIQUID_C, " on yeast", living)

    def kept(self, temp_c: float) -> float:
        """The nearest temperature that can be poured."""
        return min(max(temp_c, self.coldest_c), self.hottest_c)


@dataclass(frozen=True)
class _Balance:
    """The heat balance of one bowl."""

    items: Sequence[BowlItem]
    bowl: Portion
    heat: MixingHeat
    target_c: float
    limits: _Limits

    @property
    def coldest_c(self) -> float:
        """The coldest that can be poured."""
        return self.limits.coldest_c

    @property
    def poured(self) -> list[BowlItem]:
        return [item for item in self.items if item.tempered]

    def others(self, poured_c: float | None = None) -> list[Portion]:
        """Everything but what is poured; with it too, at one temperature, if one is given."""
        rest = [item.portion() for item in self.items if not item.tempered] + [self.bowl]
        return rest if poured_c is None else rest + [item.portion(poured_c) for item in self.poured]

    def answer(self, part_id: str, rule_c: float) -> LiquidAnswer:
        poured = [item.portion() for item in self.poured]
        wanted_c = liquid_temp_c(self.target_c, poured, self.others(), self.heat.rise_k)
        capacity = [p.mass_g * p.specific_heat_j_per_g_k for p in poured]
        whole = sum(p.mass_g * p.specific_heat_j_per_g_k for p in self.others()) + sum(capacity)
        give_k = UNTRAINED_DOUGH_K * whole / sum(capacity)
        poured_c = self.limits.kept(wanted_c)
        ice_g = self._ice_g() if wanted_c < self.coldest_c - _NOTHING_TO_DO_K else 0.0
        most_g = MOST_ICE_FRACTION * sum(item.mass_g for item in self.items if item.water)
        ice = Ice(min(ice_g, most_g))
        end_c = self._end_c(poured_c, ice)
        refusal = None if abs(end_c - self.target_c) <= CLOSE_ENOUGH_K else self._refusal(poured_c, ice, end_c, ice_g)
        return LiquidAnswer(
            part_id=part_id,
            target_c=self.target_c,
            liquids=tuple(item.key for item in self.poured),
            liquid_names=tuple(item.name for item in self.poured),
            liquid_g=sum(item.mass_g for item in self.poured),
            liquid_temp_c=poured_c,
            balance_temp_c=wanted_c,
            low_c=self.limits.kept(wanted_c - give_k),
            high_c=self.limits.kept(wanted_c + give_k),
            rule_temp_c=rule_c,
            ice_g=ice.mass_g,
            dough_temp_c=end_c,
            heat=self.heat,
            contributions=self._contributions(poured_c),
            sentence=self._sentence(poured_c, ice.mass_g, rule_c, end_c) if refusal is None else refusal.sentence,
            rule_remark=self._rule_remark(wanted_c, rule_c),
            refusal=refusal,
        )

    def _ice_g(self) -> float:
        """Ice that would do, out of the water, everything poured as cold as it can be; infinite if none would."""
        water = [item for item in self.items if item.water]
        mass_g = sum(item.mass_g for item in water)
        if mass_g <= 0:
            return 0.0
        temp_c = sum(item.mass_g * self._poured_at(item) for item in water) / mass_g
        rest = [item.portion(self._poured_at(item)) for item in self.items if not item.water]
        whole = Portion(mass_g, water[0].specific_heat_j_per_g_k, temp_c)
        try:
            return ice_for_dough_g(self.target_c, whole, [*rest, self.bowl], self.heat.rise_k)
        except Impossible:
            return float("inf")

    def _poured_at(self, item: BowlItem) -> float:
        return self.coldest_c if item.tempered else item.temp_c

    def _portions(self, poured_c: float, ice: Ice, flour: bool = True) -> list[Portion]:
        """Everything in the bowl (without the flour, if so wanted), the ice taken out of the water."""
        water_g = sum(item.mass_g for item in self.items if item.water)
        left = 1.0 - ice.mass_g / water_g if water_g > 0 else 1.0
        portions = [self.bowl]
        for item in self.items:
            if flour or not item.flour:
                whole = item.portion(poured_c if item.tempered else None)
                mass_g = item.mass_g * (left if item.water else 1.0)
                portions.append(Portion(mass_g, whole.specific_heat_j_per_g_k, whole.temp_c, whole.melting))
        return portions

    def _end_c(self, poured_c: float, ice: Ice) -> float:
        return dough_temp_c(self._portions(poured_c, ice), self.heat.rise_k, ice)

    def _contributions(self, poured_c: float) -> tuple[Contribution, ...]:
        found = []
        for item in self.items:
            temp_c = poured_c if item.tempered else item.temp_c
            heat_j = item.portion(temp_c).heat_to_j(self.target_c)
            found.append(
                Contribution(
                    item.key, item.name, item.mass_g, temp_c, item.specific_heat_j_per_g_k, heat_j,
                    item.tempered, item.reckoned,
                )
            )  # fmt: skip
        return tuple(found)

    def _sentence(self, poured_c: float, ice_g: float, rule_c: float, end_c: float) -> str:
        names = " and ".join(item.name.lower() for item in self.poured)
        ice = f", with {ice_g:.0f} g of the water as ice," if ice_g >= 1 else ""
        on_target = abs(end_c - self.target_c) <= _NOTHING_TO_DO_K
        dough = say_temp(self.target_c) if on_target else f"{end_c:.1f} °C ({say_temp(self.target_c)} is wanted)"
        return f"Pour {names} at {poured_c:.1f} °C{ice} for a dough of {dough}; the sum rule says {rule_c:.1f} °C."

    def _rule_remark(self, wanted_c: float, rule_c: float) -> str:
        apart_k = abs(wanted_c - rule_c)
        if apart_k <= FAR_APART_K:
            return ""
        share = sum(item.mass_g for item in self.poured) / sum(item.mass_g for item in self.items)
        return (
            f"The sum rule ({rule_c:.1f} °C) is {apart_k:.0f} K off the heat balance ({wanted_c:.1f} °C) because it "
            f"gives every ingredient the same weight; here what is poured is only {100 * share:.0f} % of the bowl."
        )

    # what would do instead

    def _refusal(self, poured_c: float, ice: Ice, end_c: float, ice_g: float) -> Refusal:
        too_cold = end_c > self.target_c
        flour_temp_c = self._flour_temp_c(poured_c, ice)
        more_ice_g = ice_g if ice.mass_g < ice_g < float("inf") else None
        less_s = self._mix_less_s(poured_c, ice) if too_cold else None
        factor = _rest_factor(self.target_c, end_c) if self.limits.living else 1.0
        ways = []
        if flour_temp_c is not None:
            ways.append(f"{'chill' if too_cold else 'warm'} the flour to {flour_temp_c:.0f} °C")
        if more_ice_g is not None:
            ways.append(f"take {more_ice_g:.0f} g of flake ice, if it melts in time")
        if less_s is not None:
            ways.append(f"mix {less_s / 60:.1f} min less")
        rest = f" and rest it {factor:.2f} times as long" if factor != float("inf") else " and put it in a warmer place"
        ways.append(f"take a dough of {end_c:.1f} °C{rest if self.limits.living else ''}")
        warmest = f"warmest that can be poured{self.limits.because}"
        limit = f"{say_temp(poured_c)} is the {'coldest that can be poured' if too_cold else warmest}"
        with_ice = f", even with {ice.mass_g:.0f} g of ice" if ice.mass_g >= 1 else ""
        sentence = f"A dough of {say_temp(self.target_c)} cannot be reached: {limit}{with_ice}; {', or '.join(ways)}."
        reason: Literal["too_cold", "too_hot"] = "too_cold" if too_cold else "too_hot"
        return Refusal(reason, end_c, flour_temp_c, more_ice_g, less_s, factor, sentence)

    def _flour_temp_c(self, poured_c: float, ice: Ice) -> float | None:
        flour = [item.portion() for item in self.items if item.flour]
        if not flour:
            return None
        found = liquid_temp_c(self.target_c, flour, self._portions(poured_c, ice, flour=False), self.heat.rise_k, ice)
        return found if -5.0 <= found <= 40.0 else None

    def _mix_less_s(self, poured_c: float, ice: Ice) -> float | None:
        """Seconds of mixing that would have to go, off second speed first (it warms twice as fast as the first)."""
        allowed_k = mixing_rise_k(self.target_c, self._portions(poured_c, ice), ice)
        speed_s = self.heat.low_s + 2.0 * self.heat.high_s
        if allowed_k < 0 or self.heat.rise_k <= 0 or speed_s <= 0:
            return None
        over = (1.0 - allowed_k / self.heat.rise_k) * speed_s
        return over / 2.0 if over <= 2.0 * self.heat.high_s else over - self.heat.high_s


def _rest_factor(target_c: float, end_c: float) -> float:
    """How many times as long a dough of another temperature takes to ferment, if it stays at it."""
    yeast = cardinal_temperatures()
    here = activity_fraction(end_c, yeast)
    return activity_fraction(target_c, yeast) / here if here > 0 else float("inf")


__all__ = ["Contribution", "LiquidAnswer", "Measured", "Refusal", "liquid_for"]
