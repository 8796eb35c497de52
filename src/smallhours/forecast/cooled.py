"""Bread after its bake, for every member: when it is as cool as the baker's own cooling makes it, and as cool as it has
to be for the next hand.

The length of the stage is the baker's own, moved by the room and the size: until the core is as cool as it is meant to
become, never before her least. Lengths until it can be cut, glazed and packed hang on no reference: they are reckoned
from the size, the air and what it loses, all drawn.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Place, Stage, Way
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.bake_shape import baked_rise, baking_sides, one_side_mm
from smallhours.forecast.baked import piece_masses_g
from smallhours.forecast.sizes import DENSITY_G_PER_MM3, UNDERSIDE_ON_TRAY, Size
from smallhours.forecast.stage_steps import Step, kept_length_s
from smallhours.forecast.time_constants import CRUMB_W_PER_M_K
from smallhours.forecast.walk import Dough, Inside
from smallhours.forecast.windows import MOST_FACTOR
from smallhours.reference.defaults import heat_transfer_w_per_m2_k
from smallhours.science.cooling_bread import (
    cooling_constant_s,
    core_cooled_s,
    core_cooling_temps_c,
    evaporative_share_fraction,
    surface_cooling_temps_c,
)
from smallhours.science.warming import Shape

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

COOLING_PLACES: tuple[Place, ...] = ("rack", "room", "bench")
_Z80 = 1.2815515655446004
_LEAST_COOLING_K = 45.0  # so that what evaporates never takes all the heat
_SETTLED_K = 2.0
_CURVE_POINTS, _ROOM_TIMES = 6, 5
# where the mean lies between skin and core: a parabola across the piece
_MEAN_SHARE: dict[Shape, float] = {"slab": 2 / 3, "cylinder": 1 / 2, "sphere": 2 / 5}
_LEAST_BIOT, _MOST_BIOT = 0.01, 100.0


@dataclass(frozen=True, eq=False)
class Cooling:
    """How loaves cool: their shape, time constant, Biot number, start and room, each (members + nudges,)."""

    shape: Shape
    constant_s: Floats
    biot: Floats
    start_c: Floats
    room_c: Floats

    def core_c(self, after_s: float | Floats) -> Floats:
        """The core after some time, or at times (times, 1)."""
        return core_cooling_temps_c(self.shape, self.constant_s, self.biot, self.start_c, self.room_c, after_s)

    def skin_c(self, after_s: float | Floats) -> Floats:
        """The surface after some time, or at times (times, 1)."""
        return surface_cooling_temps_c(self.shape, self.constant_s, self.biot, self.start_c, self.room_c, after_s)

    def between_c(self, core_c: Floats, skin_c: Floats) -> Floats:
        """The mean, once it has settled: not for the first minutes."""
        found: Floats = skin_c + (core_c - skin_c) * _MEAN_SHARE[self.shape]
        return found

    def core_cool_s(self, wanted_c: Floats) -> Floats:
        """How long until the core is this cool; infinite where the room is not cooler."""
        import numpy as np

        reachable = wanted_c > self.room_c + 1e-9
        safe = np.where(reachable, wanted_c, np.maximum(self.start_c, self.room_c + 1.0))
        found = core_cooled_s(self.shape, self.constant_s, self.biot, self.start_c, self.room_c, safe)
        cooled: Floats = np.where(reachable, found, np.where(self.start_c <= wanted_c, 0.0, np.inf))
        return cooled

    def mean_cool_s(self, wanted_c: Floats) -> Floats:
        """How long until it is this cool on average; infinite where the room is not cooler."""
        once = 3.0 * self.constant_s  # late enough for core and mean to keep their proportion
        core, skin = (rows(float(once.max())) for rows in (self.core_c, self.skin_c))
        more = (core - self.room_c) / (self.between_c(core, skin) - self.room_c).clip(1e-12)
        return self.core_cool_s(self.room_c + (wanted_c - self.room_c) * more)


def cooling_of(dough: Dough, way: Way, meant: bool = False) -> Cooling:
    """How what came out of the oven cools here, or as the formula ``meant`` it.

    Source: ``science.cooling_bread``; heat transfer of a hot loaf by table ``heat_transfer``, water lost by table
    ``mass_losses``.
    """
    import numpy as np

    parameters = dough.parameters
    rise, size = baked_rise(dough.formula), cooling_size(dough, meant)
    grown = 1.0 if meant else parameters.mass_ratio**dough.mass_power
    radius_mm = size.radius_mm * parameters.drawn("thickness") * grown
    spread = heat_transfer_w_per_m2_k("room-hot-loaf")
    sd = float(np.log(spread.high / spread.low)) / (2 * _Z80)
    outer = spread.usual * np.exp(sd * parameters.drawn("room_surface"))
    inner = CRUMB_W_PER_M_K * parameters.drawn("conductivity")
    here, mean = np.split(dough.mean_c, 2)
    room = _room_c(dough, way, meant)
    start = mean if meant else here
    heat = ASSUMED.specific_heat_j_per_g_k
    vapour = evaporative_share_fraction(
        parameters.drawn("cooling_loss") / 100.0, heat, np.maximum(start - room, _LEAST_COOLING_K)
    )
    density = DENSITY_G_PER_MM3 * 1e6 / rise
    constant = cooling_constant_s(size.shape, radius_mm, density, heat, inner, outer, vapour)
    biot = np.clip(outer * radius_mm / 1000.0 / inner, _LEAST_BIOT, _MOST_BIOT)
    return Cooling(size.shape, constant, biot, start, room)


def cooling_size(dough: Dough, meant: bool) -> Size:
    """A baked piece as heat sees it: one shape that heat leaves as fast as through all its sides.

    What filled a tin alone cools like a log, what touched in one like a slab, what lies flat mostly by its top.
    """
    formula = dough.formula
    usual_g, here_g = piece_masses_g(dough)
    sides = baking_sides(formula, usual_g if meant else here_g, usual_g, dough.conditions.kitchen)
    shape: Shape = sides[0].shape
    if shape != "slab":
        return Size(shape, one_side_mm(sides))
    if len(sides) == 1:
        return Size(shape, one_side_mm(sides) * 2.0 / (1.0 + UNDERSIDE_ON_TRAY))
    shape = "cylinder" if formula.pieces_per_pan == 1 else "slab"
    return Size(shape, one_side_mm(sides, shape))


def cool_stage(dough: Dough, stage: Stage, way: Way, here: Cooling) -> Step:
    """Cooling in the room: the formula's own time, moved until the core is as cool as it is meant to become."""
    import numpy as np

    meant = cooling_of(dough, way, meant=True)
    low_s = way.duration_s if way.min_s is None else way.min_s
    high_s = way.duration_s if way.max_s is None else way.max_s
    gap_k = meant.start_c - meant.room_c
    wanted = np.maximum(meant.core_c(way.duration_s), meant.room_c + np.minimum(_SETTLED_K, gap_k / 2.0))
    exact, usual = here.core_cool_s(wanted), meant.core_cool_s(wanted)
    moves = (usual > 0) & np.isfinite(usual)
    ratio = np.where(moves, exact / np.where(moves, usual, 1.0), 1.0)
    ratio = np.minimum(ratio, MOST_FACTOR)
    length = np.maximum(way.duration_s * ratio, low_s)
    kept_s = kept_length_s(dough, stage, length)
    same = bool(abs(ratio[0] - 1.0) < 1e-6)
    because = "the formula's own time" + (
        "" if same else f", moved until the core has the {float(wanted[0]):.0f} °C that it is meant to cool to"
    )
    step = Step(
        kept_s,
        length,
        np.maximum(low_s * ratio, low_s),
        np.maximum(high_s, length),
        "own reference" if same else "own reference, moved",
        because,
        float(here.room_c[0]),
        reached=np.isfinite(exact) | ~moves,
    )
    _leave(dough, step, here, meant, way.duration_s)
    return step


def _leave(dough: Dough, step: Step, here: Cooling, meant: Cooling, meant_s: float) -> None:
    """Draw how it cools, and leave it as cool as it then is."""
    import numpy as np

    members, kept_s = dough.parameters.members, step.kept_s
    times = kept_s * np.linspace(0.0, 1.0, _CURVE_POINTS + 1)[1:, None]
    core, skin = here.core_c(times), here.skin_c(times)
    means = here.between_c(core, skin)
    for t_s, mean in zip(times[:, 0].tolist(), means, strict=True):
        step.curve.append((t_s, mean[:members], dough.rise[:members]))
    meant_c = meant.between_c(meant.core_c(meant_s), meant.skin_c(meant_s))
    dough.inside = Inside(np.concatenate((means[-1], meant_c)))
    dough.core_c, dough.skin_c = core[-1], skin[-1]
    dough.t_s += kept_s


def _room_c(dough: Dough, way: Way, meant: bool) -> Floats:
    import numpy as np

    conditions = dough.conditions
    meant_c = way.at_temp_c if way.at_temp_c is not None else dough.meant_room_c
    if meant and meant_c is not None:
        return np.full(dough.parameters.count, meant_c)
    times = np.linspace(0.0, max(way.duration_s, 60.0), _ROOM_TIMES)
    air = float(conditions.place_c(way.place, times, dough.t_s, meant_c).mean())
    nudge: Floats = air + dough.parameters.room_k * (not meant)
    return nudge
