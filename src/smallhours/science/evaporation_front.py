"""A bake in a model oven: heat moves in, a front of evaporation follows, water leaves as vapour, a crust stays behind.

Solved for heat content, not for temperature: below boiling it warms the moist crumb, at boiling it evaporates the water
there, above it warms the dry crust. Conductivity depends on temperature alone, so what flows between two points is the
difference of its integral, and the jump at the front needs no special care. Heat is conserved to rounding.

Against the exact solution of a front in a thick slab (Neumann) the evaporated depth is 0.14 mm short with 1 mm between
points and half of that with 0.5 mm. With the standard 30 points the core time of a loaf 10 cm thick is 0.3 % short of
its limit, the water lost 0.5 %.

What it does not have: rising while it bakes, water that moves into the core, steam settling on cold dough, vapour
heated on its way through the crust. Its conductivities cannot be measured in a bakery and move the time by a factor of
2.5; with its usual figures two published bakes take 1.5 and 1.7 times as long as they did. So it is for comparing two
bakes of the same dough, not for the time of one: take that from ``baking``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from smallhours.errors import BadInput, Impossible
from smallhours.science.bake_loss import LATENT_AT_BOILING_J_PER_G
from smallhours.science.baking import checked_core_c
from smallhours.science.ranges import checked, checked_all, checked_all_positive
from smallhours.science.warming import Shape

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_DIMENSIONS: dict[Shape, int] = {"slab": 1, "cylinder": 2, "sphere": 3}
_STEADY = 0.9  # of the longest step that is still stable
_MOST_STEPS = 2_000_000
_LONGEST_S = 36_000.0


@dataclass(frozen=True)
class BakingDough:
    """A dough about mid-bake. Numbers, or arrays of draws shape ``(draws,)``.

    ``water_fraction``: of mass. Conductivity: of cold dough, of hot crumb, of dry crust; it turns from the cold to the
    hot one between two temperatures as vapour begins to carry heat through the pores.
    """

    density_kg_per_m3: ArrayLike
    specific_heat_j_per_g_k: ArrayLike
    crust_specific_heat_j_per_g_k: ArrayLike
    water_fraction: ArrayLike
    cold_conductivity_w_per_m_k: ArrayLike
    hot_conductivity_w_per_m_k: ArrayLike
    crust_conductivity_w_per_m_k: ArrayLike
    turning_from_c: ArrayLike
    turning_to_c: ArrayLike

    def __post_init__(self) -> None:
        for field in fields(self):
            what = field.name.rsplit("_w_per" if "_w_per" in field.name else "_", 1)[0].replace("_", " ")
            checked_all(getattr(self, field.name), f"the {what} of the dough", *_RANGES[field.name])


_RANGES = {
    "density_kg_per_m3": (100.0, 1500.0, "kg/m³"),
    "specific_heat_j_per_g_k": (1.0, 4.5, "J/(g K)"),
    "crust_specific_heat_j_per_g_k": (1.0, 4.5, "J/(g K)"),
    "water_fraction": (0.0, 0.7, "of the mass"),
    "cold_conductivity_w_per_m_k": (0.02, 3.0, "W/(m K)"),
    "hot_conductivity_w_per_m_k": (0.02, 3.0, "W/(m K)"),
    "crust_conductivity_w_per_m_k": (0.02, 3.0, "W/(m K)"),
    "turning_from_c": (-20.0, 78.0, "°C"),
    "turning_to_c": (-20.0, 105.0, "°C"),
}


@dataclass(frozen=True)
class BakeCourse:
    """What happened: ``times_s`` of shape (moments,), the rest (draws, moments); errors and draws (draws,).

    ``lost_fraction``: water evaporated, of raw mass. ``heat_j_per_g``: taken up. ``heat_error_fraction``: of the heat
    taken up, what is missing in the balance.
    """

    times_s: Floats
    core_c: Floats
    surface_c: Floats
    lost_fraction: Floats
    crust_mm: Floats
    heat_j_per_g: Floats
    heat_error_fraction: Floats

    def time_at_core_s(self, core_c: float) -> Floats:
        """When the core is first there [s], shape (draws,); NaN where it is not within the course."""
        import numpy as np

        found = np.full(len(self.core_c), np.nan)
        for row, temps in enumerate(self.core_c):
            if temps[-1] >= core_c:
                found[row] = np.interp(core_c, np.maximum.accumulate(temps), self.times_s)
        return found

    def lost_at_fraction(self, time_s: ArrayLike) -> Floats:
        """The water lost at one time for each draw [fraction of raw mass], shape (draws,)."""
        import numpy as np

        when = np.broadcast_to(np.asarray(time_s, dtype=np.float64), (len(self.lost_fraction),))
        pairs = zip(when, self.lost_fraction, strict=True)
        return np.asarray([np.interp(t, self.times_s, lost) for t, lost in pairs])


def bake_course(
    shape: Shape,
    half_size_mm: ArrayLike,
    dough: BakingDough,
    heat_transfer_w_per_m2_k: ArrayLike,
    oven_c: ArrayLike,
    start_c: ArrayLike,
    boiling_c: ArrayLike,
    duration_s: float,
    points_count: int = 30,
    moments_count: int = 121,
) -> BakeCourse:
    """Bake a slab (heated from both sides), log or round in this oven for so long, in time steps of seconds [s].

    Numbers or arrays of shape ``(draws,)``. ``points_count``: between middle and surface.

    Raises OutOfRange, BadInput for another shape or a piece so small or a time so long that it would take for ever.

    Source: enthalpy method for a moving front with Kirchhoff's transformation (Crank, Free and Moving Boundary
    Problems, 1984, from memory); a front at the boiling point as Zanoni et al. measured it (1993, 1994, abstracts).
    """
    import numpy as np

    checked(points_count, "the number of points", 5, 400, "")
    run = _Run(shape, half_size_mm, dough, heat_transfer_w_per_m2_k, oven_c, start_c, boiling_c, points_count)
    duration = checked(duration_s, "the time in the oven", 1.0, 100_000.0, "s")
    between = int(checked(moments_count, "the number of moments", 2, 10_000, "")) - 1
    each = run.steps_between(duration, between)
    step = duration / (each * between)
    content, taken = run.content_j_per_m3.copy(), np.zeros(len(run.content_j_per_m3))
    kept, heat = [run.state(content)], [taken]
    for _ in range(between):
        for _ in range(each):
            gained, through = run.gain(content)
            content += step * gained
            taken = taken + step * through
        kept.append(run.state(content))
        heat.append(taken)
    core, surface, evaporated = (np.stack(part, axis=-1) for part in zip(*kept, strict=True))
    mass = (run.volume.sum(axis=-1) * run.density_g_per_m3)[:, None]
    return BakeCourse(
        np.linspace(0.0, duration, between + 1),
        core,
        surface,
        evaporated * run.water[:, None],
        run.crust_mm(evaporated),
        np.stack(heat, axis=-1) / mass,
        run.heat_error_fraction(content, taken),
    )


def oven_time_ratio(
    shape: Shape,
    half_size_mm: ArrayLike,
    dough: BakingDough,
    start_c: ArrayLike,
    core_c: float,
    boiling_c: ArrayLike,
    logged_oven: tuple[float, float],
    wanted_oven: tuple[float, float],
    points_count: int = 30,
) -> Floats:
    """By how much longer until the core is there in another oven or at another set temperature? [ratio], (draws,)

    ``logged_oven``, ``wanted_oven``: heat transfer [W/(m² K)] and temperature [°C]. For ``scaled_time_s``.

    Raises OutOfRange; Impossible for an oven colder than the core wanted, or too cool to bring it there in ten hours.

    Source: ``bake_course``, twice. A thick loaf hardly minds, a flat one does.
    """
    times = []
    for transfer, oven in (wanted_oven, logged_oven):
        course = course_until_core(
            shape, half_size_mm, dough, (transfer, oven), start_c, core_c, boiling_c, points_count
        )
        times.append(course.time_at_core_s(core_c))
    found: Floats = times[0] / times[1]
    return found


def course_until_core(
    shape: Shape,
    half_size_mm: ArrayLike,
    dough: BakingDough,
    oven: tuple[float, float],
    start_c: ArrayLike,
    core_c: float,
    boiling_c: ArrayLike,
    points_count: int = 30,
    first_s: float = 1800.0,
) -> BakeCourse:
    """What happens until every core is there, and some time longer.

    ``oven``: heat transfer [W/(m² K)] and temperature [°C]; ``first_s``: how long to try at first, then ever twice as
    long.

    Raises OutOfRange; Impossible for an oven colder than the core wanted, or too cool to bring it there in ten hours.

    Source: ``bake_course``.
    """
    transfer, oven_c = oven
    if not oven_c > core_c:
        raise Impossible(f"an oven at {oven_c:g} °C never brings a core to {core_c:g} °C: set it hotter")
    checked_core_c(start_c, core_c, boiling_c)
    duration = first_s
    while True:
        course = bake_course(
            shape, half_size_mm, dough, transfer, oven_c, start_c, boiling_c, duration, points_count, 481
        )
        if (course.core_c[:, -1] >= core_c).all():
            return course
        duration *= 2.0
        if duration > _LONGEST_S:
            raise Impossible(f"an oven at {oven_c:g} °C does not bring the core to {core_c:g} °C in ten hours")


class _Run:
    """The piece cut into shells around points: columns of draws, rows of points, the last point on the surface."""

    def __init__(
        self,
        shape: Shape,
        half_size_mm: ArrayLike,
        dough: BakingDough,
        transfer: ArrayLike,
        oven_c: ArrayLike,
        start_c: ArrayLike,
        boiling_c: ArrayLike,
        points: int,
    ) -> None:
        import numpy as np

        if shape not in _DIMENSIONS:
            raise BadInput(f"the shape must be slab, cylinder or sphere (found {shape!r})")
        given = (
            checked_all(half_size_mm, "the half size", 2.0, 300.0, "mm") / 1000.0,
            checked_all(transfer, "the heat transfer", 1.0, 10_000.0, "W/(m² K)"),
            checked_all(oven_c, "the oven", 0.0, 400.0, "°C"),
            checked_all(start_c, "the temperature going in", -20.0, 60.0, "°C"),
            checked_all(boiling_c, "the boiling point", 80.0, 105.0, "°C"),
            *(np.asarray(getattr(dough, field.name), dtype=np.float64) for field in fields(dough)),
        )
        columns = np.broadcast_arrays(*(np.atleast_1d(value) for value in given))
        size, self.transfer, oven, start, boiling, density, heat, dry_heat, self.water = columns[:9]
        self.cold, self.hot, self.crust, turn_from, turn_to = (column[:, None] for column in columns[9:])
        self.density_g_per_m3 = density * 1000.0
        self.moist = (self.density_g_per_m3 * heat)[:, None]
        self.dry = (self.density_g_per_m3 * (1.0 - self.water) * dry_heat)[:, None]
        self.latent = (self.density_g_per_m3 * self.water * LATENT_AT_BOILING_J_PER_G)[:, None]
        # all temperatures count from the boiling point
        self.boiling, self.oven, above = boiling, oven - boiling, boiling[:, None]
        self.turn_to = np.minimum(turn_to, above) - above
        self.turning = checked_all_positive(self.turn_to - (turn_from - above), "where the crumb turns", "K")
        self._cut(size, _DIMENSIONS[shape], points)
        self.content_j_per_m3 = np.repeat(self.moist * (start - boiling)[:, None], points + 1, axis=1)

    def _cut(self, size: Floats, dimensions: int, points: int) -> None:
        import numpy as np

        self.size, self.dimensions = size, dimensions
        apart = (size / points)[:, None]
        edges = apart * np.concatenate(([0.0], np.arange(points) + 0.5, [points]))
        self.volume = (edges[:, 1:] ** dimensions - edges[:, :-1] ** dimensions) / dimensions
        self.outside = edges[:, -1] ** (dimensions - 1)
        self.between = edges[:, 1:-1] ** (dimensions - 1) / apart
        ways = np.zeros_like(self.volume)
        ways[:, :-1] += self.between
        ways[:, 1:] += self.between
        fastest = np.maximum(np.maximum(self.cold, self.hot) / self.moist, self.crust / self.dry)
        rate = ways * fastest / self.volume
        rate[:, -1] += (self.transfer * self.outside) / (self.volume[:, -1] * np.minimum(self.moist, self.dry)[:, 0])
        self.longest_step_s = float(1.0 / rate.max())

    def steps_between(self, duration_s: float, moments: int) -> int:
        """How many steps make one of so many equal parts of the time."""
        each = math.ceil(duration_s / (_STEADY * self.longest_step_s) / moments)
        if each * moments > _MOST_STEPS:
            raise BadInput(
                f"{duration_s:g} s would take {each * moments} steps: give a larger piece, fewer points or less time"
            )
        return each

    def _from_boiling(self, content: Floats) -> tuple[Floats, Floats]:
        """Kelvin below and above the boiling point."""
        import numpy as np

        return np.minimum(content, 0.0) / self.moist, np.maximum(content - self.latent, 0.0) / self.dry

    def gain(self, content: Floats) -> tuple[Floats, Floats]:
        """Heat gained by each shell [W/m³], and through the surface."""
        import numpy as np

        below, above = self._from_boiling(content)
        ramp = np.minimum(np.maximum(self.turn_to - below, 0.0), self.turning)
        colder = np.maximum(self.turn_to - self.turning - below, 0.0)
        potential = self.hot * below + (self.hot - self.cold) * (ramp * ramp / (2.0 * self.turning) + colder)
        potential += self.crust * above
        flow = self.between * (potential[:, 1:] - potential[:, :-1])
        through = self.outside * self.transfer * (self.oven - below[:, -1] - above[:, -1])
        gained = np.empty_like(content)
        gained[:, :-1] = flow
        gained[:, -1] = through
        gained[:, 1:] -= flow
        gained /= self.volume
        return gained, through

    def state(self, content: Floats) -> tuple[Floats, Floats, Floats]:
        """Core and surface temperature [°C] and the evaporated share of the water."""
        import numpy as np

        below, above = self._from_boiling(content[:, [0, -1]])
        core, surface = (below + above + self.boiling[:, None]).T
        gone = np.clip(content, 0.0, self.latent) / np.maximum(self.latent, 1.0)
        return core, surface, (gone * self.volume).sum(axis=-1) / self.volume.sum(axis=-1)

    def heat_error_fraction(self, content: Floats, taken: Floats) -> Floats:
        """What is found inside less what came through the surface, as a share of the latter."""
        import numpy as np

        inside = ((content - self.content_j_per_m3) * self.volume).sum(axis=-1)
        found: Floats = (inside - taken) / np.maximum(np.abs(taken), 1e-12)
        return found

    def crust_mm(self, evaporated: Floats) -> Floats:
        """How thick a shell holds this share of the volume."""
        found: Floats = self.size[:, None] * (1.0 - (1.0 - evaporated) ** (1.0 / self.dimensions)) * 1000.0
        return found
