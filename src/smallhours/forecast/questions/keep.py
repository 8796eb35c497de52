"""How far may harmful bacteria grow in what is kept? A caution, never a clearance."""

from __future__ import annotations

from collections.abc import Sequence

from smallhours.bakery.process.cautions import COLD_HOLDING_C
from smallhours.errors import BadInput
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.microbes import NOT_COVERED, Kept, kept_on, kept_parts, said_of
from smallhours.forecast.questions.answer import Answer, Asked, Number, said
from smallhours.forecast.warmest_path import measured_path

_RESTS_ON = (
    "published growth in milk, custard, rice, meat and lean dough, without lag, acid, sugar or salt; none was found "
    "for doughs of milk and eggs"
)
_END = (
    f"Not covered: {', '.join(NOT_COVERED)}. This is a caution, never a clearance: your local food code and your own "
    "plan for food safety come first, and the oven does not undo toxin."
)


def may_it_be_kept(asked: Asked, part: str | None = None, readings: Sequence[tuple[float, float]] = ()) -> Answer:
    """How far may harmful bacteria grow in each part that holds egg or dairy, until it is baked or sold?

    ``part``: only this one. ``readings``: what a probe said of it, (s, °C), in place of the forecast; then ``part`` may
    be any. Growth is in powers of ten (1: tenfold), in all and for each stage.

    Raises: BadInput for a part there is not, readings that do not hold together or leave a gap of more than two hours;
    OutOfRange for readings that cannot be; else as ``forecast_formula``.
    Source: ``science.food_microbes.caution`` along the warmest layer.
    """
    formula = asked.formula
    there = [one.id for one in formula.parts]
    if part is not None and part not in there:
        raise BadInput(f"formula {formula.id!r} has no part {part!r} (it has: {', '.join(there)})")
    if readings:
        named = formula.part(part or formula.main)
        found: tuple[Kept, ...] = (kept_on(measured_path(named.id, named.name, readings)),)
    else:
        kept = kept_parts(asked, asked.forecast())
        found = tuple(one for one in kept if part in (None, one.path.part))
    numbers = tuple(number for one in found for number in _numbers(one))
    told = [_told(one) for one in found]
    if not found:
        what = formula.id if part is None else part
        told = [f"No egg or dairy is recorded in {what!r}, so nothing is reckoned; that is no clearance."]
    return Answer("keep", formula.id, " ".join([*told, _END]), numbers, _RESTS_ON, any(one.too_long for one in found))


def _numbers(one: Kept) -> list[Number]:
    path = one.path
    found = [
        Number(f"{path.part}: warmer than {COLD_HOLDING_C:g} °C", "s", Estimate.sure(path.warm_s)),
        Number(f"{path.part}: warmest", "°C", Estimate.sure(path.warmest_c)),
    ]
    for growth in one.growths:
        found.append(Number(f"{path.part}: {growth.organism}", "log10", growth.total))
        found += [Number(f"{path.part}: {growth.organism}, {name}", "log10", value) for name, value in growth.by_spell]
    return found


def _told(one: Kept) -> str:
    path, worst = one.path, one.worst
    warm = f"{path.name} is {said(path.warm_s)} warmer than {COLD_HOLDING_C:g} °C, at most {path.warmest_c:.0f} °C"
    if worst.caution.key == "microbes-below-minimum":
        return f"{warm}: colder or hotter than the organisms with published curves were found to grow."
    likely = _WORDS[worst.caution.key]
    return f"{warm}: {said_of(worst.organism)} may grow {_powers(worst.total)} ({likely}), most in {worst.most_in!r}."


_WORDS = {
    "microbes-grow": "tenfold or more",
    "microbes-may-grow": "perhaps a doubling or more",
    "microbes-beyond-measured": "partly where nothing was measured: cannot tell",
    "microbes-hardly-grow": "less than a doubling",
}


def _powers(value: Estimate) -> str:
    return f"{value.low:.1f} to {value.high:.1f} powers of ten"
