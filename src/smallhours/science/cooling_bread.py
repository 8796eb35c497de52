"""How bread cools: when it can be cut, glazed and packed.

The first term of the exact series, with the share of heat that leaves as vapour taken off the time:

    core - room = factor x (start - room) x exp(-time / constant)

and the same for the surface, with its own factor. Left out are the first minutes and the crust, which leaves the oven
far hotter than the crumb but holds little heat. Against the whole series the time until 35 °C is right within 0.5 %.
What is uncertain is the air around the bread and the water it loses: expect 20 % (judgement).
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from smallhours.errors import BadInput, Impossible
from smallhours.science.conduction import first_coefficient_ratio, roots_rad
from smallhours.science.moist_air import saturation_pressure_pa
from smallhours.science.ranges import checked_all, checked_all_positive
from smallhours.science.warming import Shape

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_BIOTS_PER_DECADE = 40


def evaporative_share_fraction(
    lost_fraction: ArrayLike,
    specific_heat_j_per_g_k: ArrayLike,
    cooled_k: ArrayLike,
    latent_j_per_g: ArrayLike = 2400.0,
) -> Floats:
    """Which share of its heat does bread lose as vapour, if so much of its mass evaporates while it cools? [fraction]

    ``lost_fraction``: usually 0.01 to 0.03; ``cooled_k``: by how much it cools on average; ``latent_j_per_g``: at some
    50 °C. One percent takes away about 8 K.

    Raises OutOfRange for a value that is not positive, or where the vapour would take more than 0.8 of the heat.

    Source: conservation of energy.

    >>> round(float(evaporative_share_fraction(0.02, 2.8, 61.0)), 2)
    0.28
    """
    lost = checked_all(lost_fraction, "the mass lost in cooling", 0.0, 0.2, "of the mass")
    heat = checked_all_positive(specific_heat_j_per_g_k, "the specific heat", "J/(g K)")
    sensible = heat * checked_all_positive(cooled_k, "the cooling", "K")
    latent = lost * checked_all(latent_j_per_g, "the heat of evaporation", 2000.0, 2600.0, "J/g")
    return checked_all(latent / sensible, "the share of heat that leaves as vapour", 0.0, 0.8, "of the heat")


def cooling_constant_s(
    shape: Shape,
    half_size_mm: ArrayLike,
    density_kg_per_m3: ArrayLike,
    specific_heat_j_per_g_k: ArrayLike,
    conductivity_w_per_m_k: ArrayLike,
    heat_transfer_w_per_m2_k: ArrayLike,
    evaporative_fraction: ArrayLike = 0.0,
) -> Floats:
    """How long until what is left of the way to the room shrinks to 37 %, once settled? [s]

    Numbers or arrays that broadcast together. ``evaporative_fraction``: the share of its heat that leaves as vapour.

    Raises OutOfRange for a value that is not positive, a Biot number outside 0.01 to 100 or a share above 0.8, BadInput
    for another shape.

    Source: Carslaw & Jaeger (1959), first root of the series; air has to carry away only what vapour does not.

    >>> round(float(cooling_constant_s("cylinder", 55.0, 250.0, 2.8, 0.12, 10.0)) / 60)
    77
    """
    thick = checked_all_positive(half_size_mm, "the half size", "mm") / 1000.0
    content = checked_all_positive(density_kg_per_m3, "the density", "kg/m³") * 1000.0
    content = content * checked_all_positive(specific_heat_j_per_g_k, "the specific heat", "J/(g K)")
    inner = checked_all_positive(conductivity_w_per_m_k, "the conductivity", "W/(m K)")
    outer = checked_all_positive(heat_transfer_w_per_m2_k, "the heat transfer", "W/(m² K)")
    vapour = checked_all(evaporative_fraction, "the share of heat that leaves as vapour", 0.0, 0.8, "of the heat")
    root = _read_off(shape, outer * thick / inner, 0)
    found: Floats = content * thick**2 / (inner * root**2) * (1.0 - vapour)
    return found


def core_cooled_s(
    shape: Shape,
    constant_s: ArrayLike,
    biot_number: ArrayLike,
    start_c: ArrayLike,
    room_c: ArrayLike,
    core_c: ArrayLike,
) -> Floats:
    """How long until the core is this cool? [s] Zero if it is already; arrays that broadcast together.

    ``constant_s``: of ``cooling_constant_s``. ``biot_number``: heat transfer x half size / conductivity, 0.01 to 100.

    Raises OutOfRange for a temperature outside -40 to 110 °C; Impossible for a core that is to be no warmer than the
    room.

    Source: the equation above, first term of the exact series.

    >>> round(float(core_cooled_s("cylinder", 76.6 * 60.0, 4.58, 96.0, 22.0, 35.0)) / 60)
    164
    """
    import numpy as np

    constant = checked_all_positive(constant_s, "the time constant", "s")
    start, room = _temps(start_c, room_c)
    core = checked_all(core_c, "the core temperature wanted", -40.0, 110.0, "°C")
    start, room, core = np.broadcast_arrays(start, room, core)
    if (core <= room).any():
        raise Impossible(
            f"bread never cools to {core[core <= room].flat[0]:g} °C in a room at {room[core <= room].flat[0]:g} °C: "
            "put it in a cooler place"
        )
    left = _read_off(shape, biot_number, 1) * np.maximum(start - room, 1e-9) / (core - room)
    found: Floats = np.where(core >= start, 0.0, constant * np.log(np.maximum(left, 1.0)))
    return found


def core_cooling_temps_c(
    shape: Shape,
    constant_s: ArrayLike,
    biot_number: ArrayLike,
    start_c: ArrayLike,
    room_c: ArrayLike,
    times_s: ArrayLike,
) -> Floats:
    """How warm is the core at these times? [°C] Arrays that broadcast together.

    Until the cooling has reached it the core stays at its start.

    Raises OutOfRange for a temperature outside -40 to 110 °C or a negative time.

    Source: the equation above, first term of the exact series.
    """
    import numpy as np

    start, room = _temps(start_c, room_c)
    left = _left(constant_s, times_s) * _read_off(shape, biot_number, 1)
    found: Floats = room + (start - room) * np.minimum(left, 1.0)
    return found


def surface_cooling_temps_c(
    shape: Shape,
    constant_s: ArrayLike,
    biot_number: ArrayLike,
    start_c: ArrayLike,
    room_c: ArrayLike,
    times_s: ArrayLike,
) -> Floats:
    """How warm is the surface at these times? [°C] Arrays that broadcast together. Not for the first minutes.

    Raises OutOfRange for a temperature outside -40 to 110 °C or a negative time.

    Source: the equation above, first term of the exact series.
    """
    start, room = _temps(start_c, room_c)
    found: Floats = room + (start - room) * _left(constant_s, times_s) * _read_off(shape, biot_number, 2)
    return found


def glazing_window_s(
    shape: Shape,
    constant_s: ArrayLike,
    biot_number: ArrayLike,
    start_c: ArrayLike,
    room_c: ArrayLike,
    runs_off_above_c: ArrayLike,
    stiff_below_c: ArrayLike,
) -> tuple[Floats, Floats]:
    """From when until when does a topping hold and still flow? [s] Earliest and latest, arrays that broadcast together.

    ``runs_off_above_c``, ``stiff_below_c``: of the surface. Latest is infinite where the room itself is warmer than
    that. Surfaces are reckoned without the hot crust of the first minutes: touch before you glaze.

    Raises OutOfRange for a temperature outside -40 to 110 °C, BadInput for limits the wrong way round; Impossible where
    the room is so warm that it always runs off.

    Source: ``surface_cooling_temps_c``, solved for the time.
    """
    import numpy as np

    constant = checked_all_positive(constant_s, "the time constant", "s")
    start, room = _temps(start_c, room_c)
    runs = checked_all(runs_off_above_c, "where the topping runs off", -40.0, 110.0, "°C")
    stiff = checked_all(stiff_below_c, "where the topping is stiff", -40.0, 110.0, "°C")
    start, room, runs, stiff = np.broadcast_arrays(start, room, runs, stiff)
    if (stiff >= runs).any():
        raise BadInput("a topping must be stiff at a lower temperature than it runs off at")
    if (room >= runs).any():
        raise Impossible(
            f"in a room at {room[room >= runs].flat[0]:g} °C this topping always runs off, above "
            f"{runs[room >= runs].flat[0]:g} °C: glaze in a cooler place"
        )
    reach = _read_off(shape, biot_number, 2) * np.maximum(start - room, 1e-9)
    earliest: Floats = constant * np.log(np.maximum(reach / (runs - room), 1.0))
    warmer = np.where(room < stiff, stiff - room, 1.0)
    latest: Floats = np.where(room < stiff, constant * np.log(np.maximum(reach / warmer, 1.0)), np.inf)
    return earliest, latest


def sweats_in_bag(dew_point_in_bag_c: ArrayLike, film_c: ArrayLike) -> NDArray[np.bool_]:
    """Will water settle inside a closed bag? True where the film is colder than the dew point of the air in it [°C].

    The film takes the temperature of the coldest place the bag will lie in, also a fridge.

    Raises OutOfRange for a temperature outside -40 to 110 °C.

    Source: definition of the dew point.
    """
    dew = checked_all(dew_point_in_bag_c, "the dew point in the bag", -40.0, 110.0, "°C")
    found: NDArray[np.bool_] = dew > checked_all(film_c, "the film of the bag", -40.0, 110.0, "°C")
    return found


def packable_below_c(film_c: ArrayLike, crust_humidity_fraction: ArrayLike) -> Floats:
    """Up to which temperature can bread go into a closed bag without water settling in it? [°C]

    ``film_c``: the coldest place the bag will lie in, 0 to 60 °C. ``crust_humidity_fraction``: relative humidity of the
    air that the crust is in balance with (its water activity), 0.3 to 1; a dry crust 0.5 to 0.7, soft buns over 0.9.

    Raises OutOfRange.

    Source: the dew point in the bag is to be the temperature of the film; saturation pressure of ``moist_air``.

    >>> round(float(packable_below_c(22.0, 0.65)), 1)
    29.3
    """
    import numpy as np

    film = checked_all(film_c, "the film of the bag", 0.0, 60.0, "°C")
    humidity = checked_all(crust_humidity_fraction, "the humidity the crust is in balance with", 0.3, 1.0, "")
    temps = np.linspace(0.0, 100.0, 2001)
    logs = np.log(saturation_pressure_pa(temps))
    found: Floats = np.interp(np.log(saturation_pressure_pa(film) / humidity), logs, temps)
    return found


def _temps(start_c: ArrayLike, room_c: ArrayLike) -> tuple[Floats, Floats]:
    start = checked_all(start_c, "the temperature out of the oven", -40.0, 110.0, "°C")
    return start, checked_all(room_c, "the temperature of the room", -40.0, 60.0, "°C")


def _left(constant_s: ArrayLike, times_s: ArrayLike) -> Floats:
    import numpy as np

    times = checked_all(times_s, "the time since the oven", 0.0, 1e7, "s")
    found: Floats = np.exp(-times / checked_all_positive(constant_s, "the time constant", "s"))
    return found


def _read_off(shape: Shape, biot_number: ArrayLike, which: int) -> Floats:
    """First root, factor of the core or factor of the surface for an array of Biot numbers."""
    import numpy as np

    logs, curves = _curves(shape)
    biot = checked_all(biot_number, "the Biot number", 0.01, 100.0, "")
    found: Floats = np.interp(np.log10(biot), logs, curves[which])
    return found


@cache
def _curves(shape: Shape) -> tuple[Floats, Floats]:
    import numpy as np
    from scipy.special import j0

    logs = np.linspace(-2.0, 2.0, 4 * _BIOTS_PER_DECADE + 1)
    biots = [float(10.0**at) for at in logs]
    roots = np.asarray([roots_rad(shape, biot, 1)[0] for biot in biots])
    core = np.asarray([first_coefficient_ratio(shape, biot) for biot in biots])
    ends = {"slab": np.cos, "cylinder": j0, "sphere": lambda z: np.sin(z) / z}
    return logs, np.stack((roots, core, core * ends[shape](roots)))
