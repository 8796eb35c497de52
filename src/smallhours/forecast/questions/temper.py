"""How long must milk or eggs stand from the fridge until they are as warm as they are wanted?"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from smallhours.errors import BadInput
from smallhours.forecast.ensemble import estimates
from smallhours.forecast.parameters import Parameters
from smallhours.forecast.questions.answer import NOTHING_LOGGED, Answer, Number, spread
from smallhours.forecast.questions.here import Here
from smallhours.science.heat_path import QUICK, Pieces, Places, follow
from smallhours.science.ranges import checked
from smallhours.science.thermal_properties import (
    conductivity_w_per_m_k,
    density_kg_per_m3,
    specific_heat_j_per_g_k,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

Tempered = Literal["milk", "eggs"]
USUAL_MASS_G: dict[Tempered, float] = {"milk": 2000.0, "eggs": 60.0}
"""A jug of milk; one egg."""
_STUFF: dict[Tempered, str] = {"milk": "milk-whole", "eggs": "egg-whole"}
# milk in a jug turns over as its wall warms it, which carries several times more than conduction (judgement)
_STIRS_ITSELF: dict[Tempered, float] = {"milk": 5.0, "eggs": 1.0}
# a jug as wide as it is high that stands on a bench: side and top take up heat; its volume over that area, in diameters
_JUG_VOLUME_OVER_AREA = 1.0 / 5.0
_LEAST_GAP_K = 0.5
_LONGEST_S, _REPORTS = 24 * 3600.0, 145


def how_long_to_temper(here: Here, what: Tempered, wanted_c: float = 18.0, mass_g: float | None = None) -> Answer:
    """How long must a jug of milk, or eggs side by side on a tray, stand in this room to be so warm on average?

    ``mass_g``: of the milk in the jug, of one egg (usual: 2 kg and 60 g). Warm to the middle, not only outside.

    Raises: OutOfRange for masses and temperatures that cannot be; BadInput for what is neither milk nor eggs, or a room
    that is no warmer than what is wanted.
    Source: ``science.heat_path``; milk as a cylinder with a jug's volume over its warmed surface, eggs as spheres.
    """
    if what not in USUAL_MASS_G:
        raise BadInput(f"milk or eggs can be tempered (found {what!r}); for butter ask how soft it gets")
    checked(wanted_c, "the temperature that is wanted", 0.0, 40.0, "°C")
    each_g = checked(USUAL_MASS_G[what] if mass_g is None else mass_g, "the mass", 10.0, 50_000.0, "g")
    room_c, fridge_c = here.room_c(), here.fridge_c()
    if room_c < wanted_c + _LEAST_GAP_K:
        raise BadInput(f"a room of {room_c:g} °C does not warm {what} to {wanted_c:g} °C: stand it in warm water")
    mean = _means(here, what, each_g, (fridge_c, room_c))
    rows = {
        "warm": _first(mean[0], mean[1], wanted_c),
        "after an hour": mean[1][:, int(abs(mean[0] - 3600.0).argmin())],
    }
    found = estimates(rows, here.ensemble.weights)
    warm = found["warm"]
    named = f"{each_g / 1000:g} kg of milk in a jug" if what == "milk" else f"Eggs of {each_g:g} g on a tray"
    sentence = (
        f"{named}, from {fridge_c:g} °C: {wanted_c:g} °C after {spread(warm)} in {room_c:g} °C "
        f"({found['after an hour'].median:.0f} °C after one hour)."
    )
    if warm.median > 2 * 3600.0:
        sentence += f" That is long for {what}: warm only what the dough needs, in warm water; mind your local rules."
    rests_on = "heat conduction with the air around it drawn; a jug's milk turns over by itself (a judgement); "
    numbers = (Number("warm enough", "s", warm), Number("after an hour", "°C", found["after an hour"]))
    return Answer("temper", here.formula_id, sentence, numbers, rests_on + NOTHING_LOGGED, warm.high >= _LONGEST_S)


def _means(here: Here, what: Tempered, each_g: float, temps_c: tuple[float, float]) -> tuple[Floats, Floats]:
    """Times (s) and mean temperatures (members, times)."""
    import numpy as np

    fridge_c, room_c = temps_c
    made, at_c = here.pantry.find(_STUFF[what]).composition, max(0.0, (fridge_c + room_c) / 2.0)
    density = density_kg_per_m3(made, at_c)
    volume_mm3 = each_g / density * 1e6
    jug_mm = (4.0 * volume_mm3 / math.pi) ** (1 / 3)
    radius_mm = (
        2.0 * _JUG_VOLUME_OVER_AREA * jug_mm if what == "milk" else (3.0 * volume_mm3 / (4.0 * math.pi)) ** (1 / 3)
    )
    outer = Parameters(here.ensemble).surface_w_per_m2_k("room")[: here.ensemble.members]
    pieces = Pieces(
        "cylinder" if what == "milk" else "sphere",
        np.full(here.ensemble.members, radius_mm),
        fridge_c,
        density,
        specific_heat_j_per_g_k(made, at_c),
        conductivity_w_per_m_k(made, at_c) * _STIRS_ITSELF[what],
    )
    times = np.unique(np.append(np.linspace(0.0, 1.0, _REPORTS) ** 2 * _LONGEST_S, 3600.0))
    history = follow(pieces, Places((0.0, _LONGEST_S), np.array([[room_c]]), outer[None, :]), times, resolution=QUICK)
    return times, history.mean_c


def _first(times_s: Floats, mean_c: Floats, wanted_c: float) -> Floats:
    """When each is so warm on average; the last time if it never is."""
    import numpy as np

    found = [np.interp(wanted_c, np.maximum.accumulate(row), times_s, left=0.0, right=times_s[-1]) for row in mean_c]
    return np.array(found)
