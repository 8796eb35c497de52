"""The solver along a path of places against exact solutions, a general integrator, and its own books of heat."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.science.conduction import SHAPES, left_fraction, like_block, mean_left_fraction, roots_rad
from smallhours.science.heat_path import (
    QUICK,
    Growth,
    Pieces,
    Places,
    Resolution,
    Spell,
    follow,
    known_heat,
    path_of,
    paths_of,
    with_doors,
    yeast_heat,
)
from smallhours.science.yeast_activity import YeastCurves, activity_fractions

BIOTS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
K, DENSITY, HEAT = 0.40, 1150.0, 2.8
DIFFUSIVITY = K / (DENSITY * HEAT * 1000.0)
HALF_MM = 40.0
UNIT_S = HALF_MM**2 * 1e-6 / DIFFUSIVITY
"""The time of one Fourier number for a half size of 40 mm."""


EVERYWHERE = np.concatenate([[0.0], np.geomspace(2e-5, 30.0, 260)])


def worst_k(start_c, place_c, resolution, fourier=EVERYWHERE):
    """The largest differences of mean, core and skin from the series, for all shapes and Biot numbers."""
    open_ways = [(shape, False) for shape in SHAPES] + [("slab", True)]
    kinds = [(shape, biot, one_sided) for shape, one_sided in open_ways for biot in BIOTS]
    transfer = np.array([biot * K / HALF_MM * 1000.0 for _, biot, _ in kinds])
    closed = np.array([c for _, _, c in kinds])
    sizes = [2 * HALF_MM if shape == "slab" and not c else HALF_MM for shape, _, c in kinds]
    places = Places([0.0, 30.0 * UNIT_S], place_c, transfer[None, :], np.where(closed, 0.0, transfer)[None, :])
    pieces = Pieces([s for s, _, _ in kinds], sizes, start_c, DENSITY, HEAT, K)
    found = follow(pieces, places, fourier * UNIT_S, resolution=resolution)
    worst = np.zeros(3)
    for row, (shape, biot, one_sided) in enumerate(kinds):
        exact = (
            mean_left_fraction(shape, biot, fourier),
            left_fraction(shape, biot, fourier, 0.5 if one_sided else 0.0),
            left_fraction(shape, biot, fourier, 1.0),
        )
        ours = (found.mean_c[row], found.core_c[row], found.skin_c[row])
        off = [np.abs(place_c + (start_c - place_c) * e - o).max() for e, o in zip(exact, ours, strict=True)]
        worst = np.maximum(worst, off)
    return worst


@pytest.mark.parametrize(("start_c", "place_c"), [(24.0, 4.0), (4.0, 24.0)])
def test_within_a_twentieth_of_a_kelvin(start_c, place_c):
    """Published: exact series (Carslaw & Jaeger), step of 20 K, Bi 0.1 to 10, slab open on two sides and on one,
    cylinder, sphere: mean, core and skin within 0.05 K from the first instant on, at the shipped resolution."""
    assert (worst_k(start_c, place_c, Resolution()) <= 0.05).all()


@pytest.mark.parametrize("fourier", [1e-3, 0.03, 0.3, 1.0, 3.0, 10.0])
def test_as_near_when_asked_once(fourier):
    """Published: the same when only one time is wanted, so that no other wanted times shorten the steps before it."""
    assert (worst_k(24.0, 4.0, Resolution(), np.array([fourier])) <= 0.05).all()


@pytest.mark.parametrize("biot", [0.1, 1.0, 10.0])
def test_as_near_alone(biot):
    """Published: the same for a ball alone, asked once, so that no other piece shortens its steps: 0.05 K."""
    places = path_of([Spell(0.0, 30 * UNIT_S, 4.0, biot * K / HALF_MM * 1000.0)])
    for fourier in np.geomspace(1e-4, 3.0, 9):
        found = follow(Pieces("sphere", HALF_MM, 24.0, DENSITY, HEAT, K), places, [fourier * UNIT_S])
        exact = [4.0 + 20.0 * float(left_fraction("sphere", biot, fourier, where)) for where in (0.0, 1.0)]
        assert [found.core_c[0, 0], found.skin_c[0, 0]] == pytest.approx(exact, abs=0.05)


def test_quick_is_near_enough():
    """Published: the quick resolution for ensembles against the same series: mean and core 0.1 K, skin 0.15 K."""
    for fourier in (EVERYWHERE, np.array([0.3]), np.array([3.0])):
        assert (worst_k(24.0, 4.0, QUICK, fourier) <= (0.1, 0.1, 0.15)).all()


def test_finer_is_nearer():
    """Property: half the cell size, tolerance and growth of steps bring it at least twice as near the series."""
    coarse, fine = (worst_k(24.0, 4.0, r) for r in (Resolution(20, 1.5, 0.1), Resolution(40, 1.25, 0.05)))
    assert (fine <= coarse / 2).all()


def lively(count):
    """Pieces of all shapes and sizes on their own paths with doors, ramps, growth, own heat and uneven starts."""
    rng = np.random.default_rng(7)
    shapes = [SHAPES[i % 3] for i in range(count)]
    pieces = Pieces(
        shapes,
        rng.uniform(10.0, 80.0, count),
        rng.uniform(2.0, 28.0, (count, 5)),
        rng.uniform(500.0, 1200.0, count),
        rng.uniform(2.0, 3.5, count),
        rng.uniform(0.1, 0.6, count),
    )
    spells = [
        Spell(0.0, 1800.0, 24.0, 9.0, 4.0),
        *with_doors(Spell(1800.0, 40_000.0, 4.0, 12.0, 3.0), 9, 120.0, 6.0),
        Spell(40_000.0, 47_200.0, 4.0, 9.0, 2.0, ambient_end_c=30.0),
    ]
    one = path_of(spells)
    places = Places(
        np.asarray(one.edges_s) * rng.uniform(0.9, 1.0, count),
        np.asarray(one.ambient_c) + rng.normal(0.0, 1.0, count),
        np.asarray(one.outside_w_per_m2_k) * rng.uniform(0.5, 3.0, count),
        np.asarray(one.underside_w_per_m2_k) * rng.uniform(0.0, 1.0, count),
        np.asarray(one.ambient_end_c) + rng.normal(0.0, 1.0, count),
    )
    spread = np.where([s == "sphere" for s in shapes], 1.0, 1.1)
    growth = Growth([0.0, 20_000.0, 47_200.0], [1.0, 1.1, 1.3], np.stack([spread**0, spread, spread]), [1.0, 0.8, 0.6])
    return pieces, places, growth


def test_no_heat_is_lost():
    """Property: what the layers gained is what came through the surface and was made inside, to 1e-9 of all that moved,
    for pieces of all shapes with doors, ramps, growth, own heat and uneven starts."""
    pieces, places, growth = lively(12)
    heat = yeast_heat(YeastCurves(-2.0, 36.0, 50.0), 26.0, np.linspace(0.0, 2.0, 12))
    found = follow(pieces, places, own_heat=heat, growth=growth, profiles=True)
    stored = np.asarray(pieces.specific_heat_j_per_g_k)[:, None] * (found.mean_c - found.mean_c[:, :1])
    moved = found.taken_up_j_per_g + found.own_heat_j_per_g
    scale = np.abs(found.taken_up_j_per_g).max(axis=1) + found.own_heat_j_per_g.max(axis=1)
    assert (np.abs(stored - moved).max(axis=1) <= 1e-9 * scale).all()
    assert found.own_heat_j_per_g[1:, -1].min() > 0.1
    by_layers = np.einsum("ptn,pn->pt", found.profiles_c, found.weights_fraction)
    assert found.mean_c == pytest.approx(by_layers, abs=1e-9)
    assert found.weights_fraction.sum(axis=1) == pytest.approx(np.ones(12), abs=1e-12)


def test_each_as_if_alone():
    """Property: a piece among others warms as it does alone (0.05 K: together the steps may be finer)."""
    pieces, places, growth = lively(6)
    times = np.linspace(0.0, 42_000.0, 50)
    together = follow(pieces, places, times, growth=growth)
    for row in range(6):
        alone = Pieces(
            pieces.shape[row], *(np.asarray(getattr(pieces, n))[row : row + 1] for n in list(vars(pieces))[1:])
        )
        path = Places(*(np.asarray(v)[:, row : row + 1] for v in vars(places).values()))
        grown = Growth(
            growth.times_s, growth.size_factor, np.asarray(growth.spread_factor)[:, row], growth.conductivity_factor
        )
        found = follow(alone, path, times, growth=grown)
        for name in ("mean_c", "core_c", "skin_c", "underside_c"):
            assert getattr(found, name)[0] == pytest.approx(getattr(together, name)[row], abs=0.05)


def test_more_than_a_block():
    """Property: of 1,500 pieces in two blocks each is as in a small company, also with own heat given for all."""
    size, rate = np.linspace(10.0, 60.0, 1500), np.linspace(0.0, 2.0, 1500)
    path = path_of([Spell(0.0, 7200.0, 4.0, 9.0)])
    curves = YeastCurves(-2.0, 36.0, 50.0)
    many = follow(Pieces("sphere", size, 24.0), path, [0.0, 7200.0], yeast_heat(curves, 26.0, rate))
    few = follow(Pieces("sphere", size[::500], 24.0), path, [0.0, 7200.0], yeast_heat(curves, 26.0, rate[::500]))
    assert many.core_c.shape == (1500, 2)
    assert many.core_c[::500] == pytest.approx(few.core_c, abs=0.01)


def test_a_general_integrator_agrees():
    """Published: SciPy's LSODA with 400 even cells on a 45 mm slab, 9 above and 2.5 W/(m² K) below, two places and a
    ramp: within 0.05 K at every 10 minutes."""
    from scipy.integrate import solve_ivp

    spells = [Spell(0, 3600, 24, 9, 2.5), Spell(3600, 18_000, 4, 16, 4), Spell(18_000, 28_800, 4, 9, 2.5, 30.0)]
    cells, thick = 400, 0.045
    width = thick / cells
    heat = DENSITY * HEAT * 1000.0

    def rates(at_s, temps, spell):
        share = (at_s - spell.begin_s) / (spell.end_s - spell.begin_s)
        end = spell.ambient_c if spell.ambient_end_c is None else spell.ambient_end_c
        air = spell.ambient_c + share * (end - spell.ambient_c)
        flux = np.empty(cells + 1)
        flux[1:-1] = K * (temps[:-1] - temps[1:]) / width
        flux[0] = (air - temps[0]) / (1.0 / spell.underside_w_per_m2_k + width / 2 / K)
        flux[-1] = (temps[-1] - air) / (1.0 / spell.outside_w_per_m2_k + width / 2 / K)
        return (flux[:-1] - flux[1:]) / (heat * width)

    times = np.arange(0.0, 28_801.0, 600.0)
    temps, means, middles = np.full(cells, 26.0), [26.0], [26.0]
    for spell in spells:
        inside = times[(times > spell.begin_s) & (times <= spell.end_s)]
        span = (spell.begin_s, spell.end_s)
        run = solve_ivp(rates, span, temps, "LSODA", inside, args=(spell,), rtol=1e-7, atol=1e-7, lband=1, uband=1)
        temps = run.y[:, -1]
        means += list(run.y.mean(axis=0))
        middles += list((run.y[cells // 2 - 1] + run.y[cells // 2]) / 2)
    found = follow(Pieces("slab", 45.0, 26.0, DENSITY, HEAT, K), path_of(spells), times)
    assert found.mean_c[0] == pytest.approx(means, abs=0.05)
    assert found.core_c[0] == pytest.approx(middles, abs=0.05)


def test_one_mode_decays_alone():
    """Published: a slab that starts as the first mode of the series keeps its shape and decays with exp(-z² Fo)."""
    biot = 2.0
    z = float(roots_rad("slab", biot)[0])
    where = np.linspace(-1.0, 1.0, 201)
    start = 4.0 + 20.0 * np.cos(z * where)
    fourier = np.linspace(0.0, 1.5, 16)
    places = path_of([Spell(0.0, 2 * UNIT_S, 4.0, biot * K / HALF_MM * 1000.0)])
    found = follow(
        Pieces("slab", 2 * HALF_MM, start[None, :], DENSITY, HEAT, K), places, fourier * UNIT_S, profiles=True
    )
    shape = np.cos(z * (2.0 * found.positions_fraction[0] - 1.0))
    exact = 4.0 + 20.0 * np.exp(-(z**2) * fourier)[:, None] * shape
    assert found.profiles_c[0] == pytest.approx(exact, abs=0.05)


@pytest.mark.parametrize("shape", SHAPES)
def test_behind_a_steady_ramp(shape):
    """Hand: where the place warms by r, all follows after r (L² (1 - x²) / (2 d a) + L rho c / (d h)), d = 1, 2, 3."""
    d, rate, h = SHAPES.index(shape) + 1, 2e-4, 9.0
    end = 12 * UNIT_S
    places = path_of([Spell(0.0, end, 0.0, h, ambient_end_c=rate * end)])
    size = 2 * HALF_MM if shape == "slab" else HALF_MM
    found = follow(Pieces(shape, size, 0.0, DENSITY, HEAT, K), places, [0.99 * end])
    half = HALF_MM / 1000.0
    skin = rate * half * DENSITY * HEAT * 1000.0 / (d * h)
    core = skin + rate * half**2 / (2 * d * DIFFUSIVITY)
    assert rate * 0.99 * end - found.skin_c[0, 0] == pytest.approx(skin, rel=2e-3)
    assert rate * 0.99 * end - found.core_c[0, 0] == pytest.approx(core, rel=2e-3)


def test_own_heat_between_two_faces():
    """Hand: a slab with steady own heat q and different faces settles on a parabola: flux up and down add to q L, and
    the middle is q L² / 8k above the mean of the faces."""
    thick, q, up, down = 0.06, 1.5, 9.0, 3.0
    places = path_of([Spell(0.0, 30 * 86_400.0, 4.0, up, down)])
    found = follow(Pieces("slab", 60.0, 10.0, DENSITY, HEAT, K), places, [30 * 86_400.0], known_heat([0.0], [q]))
    per_m3 = q * DENSITY
    # two unknown faces: both fluxes together, and the difference of the faces by the flux in the middle
    both = np.array([[up, down], [1.0 + up * thick / (2 * K), -1.0 - down * thick / (2 * K)]])
    top, bottom = np.linalg.solve(both, [per_m3 * thick, 0.0])
    assert found.skin_c[0, 0] - 4.0 == pytest.approx(top, abs=1e-6)
    assert found.underside_c[0, 0] - 4.0 == pytest.approx(bottom, abs=1e-6)
    middle = (top + bottom) / 2 + per_m3 * thick**2 / (8 * K)
    assert found.core_c[0, 0] - 4.0 == pytest.approx(middle, abs=1e-6)


def test_wrapped_so_that_no_heat_leaves():
    """Hand: a litre of gas per kg and hour, 50 kJ per mol at 1 atm and 25 °C (2.04 kJ), warms dough of 2.8 J/(g K) by
    0.73 K an hour if none leaves; with yeast that follows temperature the table is within 1e-3 of the curve."""
    rate = 2.04e3 / 3600.0
    places = path_of([Spell(0.0, 3600.0, 4.0, 0.0)])
    found = follow(Pieces(SHAPES, 50.0, 25.0, DENSITY, HEAT, K), places, [3600.0], known_heat([0.0, 1.0], [rate, rate]))
    assert found.mean_c[:, 0] - 25.0 == pytest.approx([0.73] * 3, abs=0.005)
    curves = YeastCurves(-2.0, 36.0, 50.0)
    temps = np.linspace(-10.0, 60.0, 331)[:, None]
    exact = rate * activity_fractions(temps, curves) / activity_fractions(25.0, curves)
    assert yeast_heat(curves, 25.0, rate)(temps, np.zeros(1)) == pytest.approx(exact, abs=1e-3 * rate)


@pytest.mark.parametrize("shape", SHAPES)
def test_growth_with_a_held_face(shape):
    """Published: with the face held at the place, growth only stretches time: the series at the Fourier number of the
    integral of k / size² x (area x size) over time, for layers that move with the dough."""
    end, factor = 0.4 * UNIT_S, 1.5
    growth = Growth([0.0, end], [1.0, factor], conductivity_factor=[1.0, 0.5])
    size = 2 * HALF_MM if shape == "slab" else HALF_MM
    places = path_of([Spell(0.0, end, 4.0, 20_000.0)])
    pieces = Pieces(shape, size, 24.0, DENSITY, HEAT, K)
    found = follow(pieces, places, [0.5 * end, end], growth=growth, resolution=Resolution(80, 1.1, 0.05))
    power = SHAPES.index(shape) - 1  # area / size

    def fourier(until):
        s = np.linspace(0.0, until, 20_001)
        return 0.4 * np.trapezoid((1 + (factor - 1) * s) ** power * (1 - 0.5 * s), s)

    biot = 20_000.0 * HALF_MM / 1000.0 / K
    exact = [4.0 + 20.0 * float(mean_left_fraction(shape, biot, fourier(until))) for until in (0.5, 1.0)]
    assert found.mean_c[0] == pytest.approx(exact, abs=0.05)


def test_growth_of_what_is_warm_throughout():
    """Hand: a ball that conducts so well that it is warm throughout follows exp(-h A0 / C x integral of size² over
    time); a log that also lengthens by its spread, with size x spread."""
    end, h = 7200.0, 9.0
    growth = Growth([0.0, end], [1.0, 1.4], [[1.0, 1.0], [1.0, 1.2]])
    pieces = Pieces(("sphere", "cylinder"), 30.0, 24.0, DENSITY, HEAT, 4000.0)
    found = follow(pieces, path_of([Spell(0.0, end, 4.0, h)]), [end], growth=growth)
    share = np.linspace(0.0, 1.0, 10_001)
    size = 1.0 + 0.4 * share
    for row, (d, area) in enumerate([(3, size**2), (2, size * (1.0 + 0.2 * share))]):
        rate = d * h / (DENSITY * HEAT * 1000.0 * 0.03)
        expected = 4.0 + 20.0 * math.exp(-rate * end * np.trapezoid(area, share))
        assert found.mean_c[row, 0] == pytest.approx(expected, abs=0.02)


def test_butter_apples_and_a_block():
    """Published: Geankoplis ex. 5.3-2, butter slab on a bench: 19.24, 14.02, mean 15.83 °C after 5 h; Lienhard ex. 5.2,
    apples: core at 26.50 °C after 1 h and at 10 °C after 22,287 s (exact values; 0.05 K, and 0.5 % in time)."""
    start, air = 277.6 - 273.15, 297.1 - 273.15
    butter = Pieces("slab", 46.2, start, 998.0, 2.3, 0.197)
    found = follow(butter, path_of([Spell(0.0, 18_000.0, air, 8.52, 0.0)]), [18_000.0])
    assert found.skin_c[0, 0] == pytest.approx(19.24, abs=0.05)
    assert found.underside_c[0, 0] == pytest.approx(14.02, abs=0.05)
    assert found.mean_c[0, 0] == pytest.approx(15.83, abs=0.05)
    apple = Pieces("sphere", 50.0, 30.0, 997.6, 4.18, 0.603)
    found = follow(apple, path_of([Spell(0.0, 28_800.0, 5.0, 6.0)]), np.arange(0.0, 28_801.0, 300.0))
    assert found.core_c[0, 12] == pytest.approx(26.50, abs=0.05)
    assert found.first_time_s(10.0)[0] == pytest.approx(22_287, rel=0.005)
    assert np.isnan(found.first_time_s(4.0)[0])
    shape, size = like_block([100.0, 65.0, 40.0], 0.20, 9.0)
    block = follow(Pieces(shape, size, 4.0, 940.0, 2.3, 0.20), path_of([Spell(0.0, 36_000.0, 22.0, 9.0)]))
    assert 3600 < block.first_time_s(15.0)[0] < 3 * 3600


def test_eggs_and_milk():
    """Published: Çengel ex. 4.3, egg in hot water: core at 70 °C after 14.36 min (0.5 %, at Bi 48).
    Hand: milk that mixes itself (a large conductivity) follows exp(-2 h t / (density x heat x radius))."""
    egg = Pieces("sphere", 25.0, 5.0, 0.627 / (0.151e-6 * 3300.0), 3.3, 0.627)
    found = follow(egg, path_of([Spell(0.0, 1200.0, 95.0, 1200.0)]), np.arange(0.0, 1201.0, 10.0))
    assert found.first_time_s(70.0)[0] / 60 == pytest.approx(14.36, rel=0.005)
    milk = Pieces("cylinder", 100.0, 4.0, 1030.0, 3.9, 5000.0)
    found = follow(milk, path_of([Spell(0.0, 7200.0, 22.0, 9.0)]), [7200.0])
    assert found.mean_c[0, 0] == pytest.approx(22.0 - 18.0 * math.exp(-2 * 9.0 * 7200 / (1030 * 3900 * 0.1)), abs=0.01)


def test_larger_is_never_quicker():
    """Property: in one place, of two pieces of a shape the thicker one's core and mean are further from it, always."""
    sizes = np.linspace(5.0, 80.0, 16)
    for shape in SHAPES:
        found = follow(Pieces(shape, sizes, 24.0), path_of([Spell(0.0, 86_400.0, 4.0, 9.0, 3.0)]))
        assert (np.diff(found.mean_c, axis=0) >= -1e-3).all()
        assert (np.diff(found.core_c, axis=0) >= -0.02).all()


def test_warmer_places_make_warmer_dough():
    """Property: a kelvin more all along the path makes every piece at most a kelvin warmer, and never colder."""
    pieces, places, growth = lively(9)
    warmer = Places(
        places.edges_s,
        np.asarray(places.ambient_c) + 1.0,
        places.outside_w_per_m2_k,
        places.underside_w_per_m2_k,
        np.asarray(places.ambient_end_c) + 1.0,
    )
    cold, warm = (follow(pieces, p, growth=growth).mean_c for p in (places, warmer))
    assert (warm - cold).min() >= -0.01
    assert (warm - cold).max() <= 1.01
    assert (warm - cold)[:, -1].min() > 0.3


def test_never_beyond_its_surroundings():
    """Limit: without own heat no layer is ever warmer than the warmest or colder than the coldest around it."""
    pieces = Pieces(SHAPES, [30.0, 20.0, 40.0], [[5.0], [24.0], [15.0]])
    spells = [*with_doors(Spell(0.0, 40_000.0, 4.0, 300.0, 30.0), 20, 60.0, 8.0), Spell(40_000.0, 50_000.0, 26.0, 9.0)]
    found = follow(pieces, path_of(spells), profiles=True)
    assert found.profiles_c.min() >= 4.0 - 1e-3
    assert found.profiles_c.max() <= 26.0 + 1e-3
    assert found.profiles_c[:, :, :].std() > 1.0


def test_alone_and_along_its_own_path():
    """Behaviour: one piece and three paths, of different numbers of spells, give three histories."""
    paths = [[Spell(0.0, 7200.0, t, 9.0)] for t in (4.0, 10.0)]
    paths.append([Spell(0.0, 3600.0, 24.0, 9.0), Spell(3600.0, 7200.0, 4.0, 9.0)])
    found = follow(Pieces("sphere", 40.0, 24.0), paths_of(paths), [0.0, 3600.0, 7200.0])
    assert found.mean_c.shape == (3, 3)
    assert found.mean_c[2, 1] == pytest.approx(24.0, abs=1e-9)
    assert found.mean_c[0, 2] < found.mean_c[1, 2] < found.mean_c[2, 2]


def test_doors_warm_the_fridge():
    """Hand: 20 openings of 3 minutes, 6 K warmer, in 12 hours: the air is 0.5 K warmer on average."""
    spells = with_doors(Spell(0.0, 43_200.0, 4.0, 9.0), 20, 180.0, 6.0)
    lasts = np.array([s.end_s - s.begin_s for s in spells])
    assert np.average([s.ambient_c for s in spells], weights=lasts) == pytest.approx(4.5, abs=1e-9)
    assert spells[-1].end_s == 43_200.0
    found = follow(Pieces("slab", 20.0, 24.0), path_of(spells), [43_200.0])
    assert 4.1 < found.mean_c[0, 0] < 5.0
