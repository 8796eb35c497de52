"""A few layers for each piece against the exact series, a general solver and their own books of heat."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.conduction import SHAPES, left_fraction, mean_left_fraction, roots_rad
from smallhours.science.heat_path import Layers, Pieces, Places, follow, layers_of
from smallhours.science.warming import Shape, time_constant_s

K, DENSITY, HEAT, HALF_MM = 0.40, 1150.0, 2.8, 40.0
UNIT_S = HALF_MM**2 * 1e-6 * DENSITY * HEAT * 1000.0 / K
"""The time of one Fourier number for a half size of 40 mm."""
BIOTS = np.array([0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0])
FOURIER = np.geomspace(0.02, 5.0, 240)


def pieces_of(shape: Shape, biots: np.ndarray = BIOTS) -> Layers:
    return layers_of(shape, HALF_MM, biots * K / HALF_MM * 1000.0, DENSITY, HEAT, K)


def after_a_step(layers: Layers, fourier: np.ndarray, start_c: float = 24.0, place_c: float = 4.0) -> np.ndarray:
    """Mean, core and skin, (3, times, pieces), after pieces were put into a place."""
    pieces = layers.rates_per_s.shape[1]
    start = layers.in_modes(np.full((layers.weights_fraction.size, pieces), start_c))
    rows = []
    for number in fourier:
        amounts = layers.stepped(start, layers.left_fraction(number * UNIT_S), np.full(pieces, place_c))
        core, skin = layers.core_and_skin_c(layers.in_layers(amounts), np.full(pieces, place_c))
        rows.append((layers.mean_c(amounts), core, skin))
    return np.swapaxes(np.array(rows), 0, 1)


@pytest.mark.parametrize("shape", SHAPES)
def test_a_step_against_the_exact_series(shape: Shape) -> None:
    """Published: Carslaw & Jaeger, a step of 20 K, Biot 0.1 to 10.

    Mean, core and skin within 0.001, 0.12 and 0.01 K from Fourier number 0.05 on; 0.003, 0.26 and 0.05 K from 0.02 on.
    """
    found = after_a_step(pieces_of(shape), FOURIER)
    biots, fourier = BIOTS[None, :], FOURIER[:, None]
    exact = np.array(
        [
            mean_left_fraction(shape, biots, fourier),
            left_fraction(shape, biots, fourier, 0.0),
            left_fraction(shape, biots, fourier, 1.0),
        ]
    )
    off = np.abs(found - (4.0 + 20.0 * exact))
    assert (off[:, FOURIER >= 0.05].max(axis=(1, 2)) <= (0.001, 0.12, 0.01)).all()
    assert (off.max(axis=(1, 2)) <= (0.003, 0.26, 0.05)).all()


@pytest.mark.parametrize("shape", SHAPES)
def test_rates_are_the_roots_of_the_series(shape: Shape) -> None:
    """Published: the slowest mode dies away with the square of the first root (Carslaw & Jaeger), the next nearly."""
    layers = pieces_of(shape)
    for column, biot in enumerate(BIOTS):
        roots = roots_rad(shape, float(biot)) ** 2
        assert layers.rates_per_s[0, column] * UNIT_S == pytest.approx(roots[0], rel=2e-6)
        assert layers.rates_per_s[1, column] * UNIT_S == pytest.approx(roots[1], rel=0.005)


@pytest.mark.parametrize("shape", SHAPES)
def test_modes_are_those_of_the_whole_matrix(shape: Shape) -> None:
    """Limit: each mode changes by its own rate alone, and layer weights make the modes orthonormal, Biot 0.001 to 1000.

    The matrix is put together here from what its modes say; its eigenvalues come from a general decomposition.
    """
    layers = pieces_of(shape, np.geomspace(1.001e-3, 999.0, 57))
    weighted = layers.modes_ratio * layers.weights_fraction[:, None, None]
    products = np.einsum("ikm,ilm->mkl", weighted, layers.modes_ratio)
    assert products == pytest.approx(np.broadcast_to(np.eye(products.shape[1]), products.shape), abs=1e-9)
    matrices = np.einsum("ikm,km,jkm->mij", layers.modes_ratio, layers.rates_per_s, weighted)
    found = np.sort(np.linalg.eigvals(matrices).real, axis=1).T
    assert found == pytest.approx(layers.rates_per_s, rel=1e-8)
    # and it is one and the same matrix for all, but for what the surface passes: differences are of one rank
    ranks = [np.linalg.svd((a - matrices[0]) * UNIT_S, compute_uv=False) for a in matrices[1:]]
    assert all(values[1] < 1e-6 * max(values[0], 1.0) for values in ranks)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_mean_changes_by_what_passes_the_surface(shape: Shape) -> None:
    """Limit: heat is conserved: d(mean)/dt is h (place - skin) over the capacity, to nine digits, at any time."""
    layers, dimensions = pieces_of(shape), SHAPES.index(shape) + 1
    start = layers.in_modes(np.linspace(24.0, 12.0, 4)[:, None] + np.zeros(BIOTS.size))
    place = np.full(BIOTS.size, 4.0)
    for t_s in (0.0, 60.0, 1800.0, 7200.0):
        amounts = layers.stepped(start, layers.left_fraction(t_s), place)
        _, skin = layers.core_and_skin_c(layers.in_layers(amounts), place)
        change = layers.mean_c(-layers.rates_per_s * (amounts - 4.0 * layers.mean_modes_ratio))
        assert change * UNIT_S == pytest.approx(dimensions * BIOTS * (4.0 - skin), rel=1e-9)


@pytest.mark.parametrize("shape", SHAPES)
def test_steady_own_heat_settles_on_a_parabola(shape: Shape) -> None:
    """Hand: heat q [K/s] everywhere ends at q x tau on average, tau as ``warming`` has it: exact for even heat.

    Across it is a parabola: core over skin q R^2 / (2 x dimensions x diffusivity).
    """
    layers, rate = pieces_of(shape), 1.0 / 3600.0
    heat = layers.in_modes(np.full((4, BIOTS.size), rate))
    place = np.full(BIOTS.size, 20.0)
    amounts = layers.stepped(20.0 * layers.mean_modes_ratio, layers.left_fraction(1e9), place, heat)
    taus = [time_constant_s(shape, HALF_MM, DENSITY, HEAT, K, float(b) * K / HALF_MM * 1000.0) for b in BIOTS]
    assert layers.mean_c(amounts) - 20.0 == pytest.approx(rate * np.array(taus), rel=1e-9)
    core, skin = layers.core_and_skin_c(layers.in_layers(amounts), place)
    assert core - skin == pytest.approx(rate * UNIT_S / (2 * (SHAPES.index(shape) + 1)), rel=1e-8)


@pytest.mark.parametrize(("shape", "size_mm"), [("slab", 40.0), ("cylinder", 35.0), ("sphere", 43.0)])
def test_a_path_of_changing_air_against_the_solver(shape: Shape, size_mm: float) -> None:
    """Published: ``follow``, within 0.05 K of the exact series: a retarder that cools, holds and warms over 12 h.

    In steps of ten minutes with the air's mean over each: mean, core and skin within 0.1 K.
    """
    hour = 3600.0
    times = np.arange(0.0, 12 * hour + 1, 600.0)
    air = np.interp(times, np.array([0.0, 2.0, 8.0, 12.0]) * hour, [16.0, 2.0, 2.0, 22.0])
    pieces = Pieces(shape, size_mm, 24.0, DENSITY, HEAT, K)
    exact = follow(pieces, Places(times, air[:-1], 12.0, None, air[1:]), times)
    layers = layers_of(shape, size_mm / 2 if shape == "slab" else size_mm, 12.0, DENSITY, HEAT, K)
    amounts, left = 24.0 * layers.mean_modes_ratio, layers.left_fraction(600.0)
    for n in range(1, times.size):
        amounts = layers.stepped(amounts, left, np.array([(air[n] + air[n - 1]) / 2]))
        core, skin = layers.core_and_skin_c(layers.in_layers(amounts), air[n : n + 1])
        found = np.array([layers.mean_c(amounts)[0], core[0], skin[0]])
        if n >= 6:
            wanted = exact.mean_c[0, n], exact.core_c[0, n], exact.skin_c[0, n]
            assert found == pytest.approx(wanted, abs=0.1)


@pytest.mark.parametrize("thick_mm", [15.0, 25.0, 40.0])
@pytest.mark.parametrize(("underside", "mean_k", "core_k"), [(0.0, 0.01, 0.2), (0.2, 0.3, 0.75), (0.5, 0.35, 0.7)])
def test_a_slab_on_a_tray_as_one_that_is_open_on_both_sides(
    thick_mm: float, underside: float, mean_k: float, core_k: float
) -> None:
    """Published: ``follow`` with less passing below: a slab by its surface is a little slower, never quicker.

    Chilled by 20 K, up to 40 mm thick; the core is compared with the warmest layer, which lies below the middle.
    """
    hour = 3600.0
    times = np.linspace(0.0, 16 * hour, 97)
    places = Places([0.0, 16 * hour], 4.0, 8.0, 8.0 * underside)
    exact = follow(Pieces("slab", thick_mm, 24.0, DENSITY, HEAT, K), places, times, profiles=True)
    assert exact.profiles_c is not None
    layers = layers_of("slab", thick_mm / (1 + underside), 8.0, DENSITY, HEAT, K)
    place, start = np.array([4.0]), 24.0 * layers.mean_modes_ratio
    for n in range(3, times.size):
        amounts = layers.stepped(start, layers.left_fraction(times[n]), place)
        core, _ = layers.core_and_skin_c(layers.in_layers(amounts), place)
        assert -0.01 <= layers.mean_c(amounts)[0] - exact.mean_c[0, n] <= mean_k
        assert -0.05 <= core[0] - exact.profiles_c[0, n].max() <= core_k


@given(st.sampled_from(SHAPES), st.floats(0.05, 20.0), st.floats(1.01, 3.0), st.floats(0.05, 3.0))
@settings(max_examples=60, deadline=None)
def test_larger_is_never_quicker(shape: Shape, biot: float, larger: float, fourier: float) -> None:
    """Limit: of two pieces that differ in size alone, the larger has more left, after any time."""
    transfer = biot * K / HALF_MM * 1000.0
    layers = layers_of(shape, [HALF_MM, HALF_MM * larger], transfer, DENSITY, HEAT, K)
    mean = after_a_step(layers, np.array([fourier]), 1.0, 0.0)[0, 0]
    assert mean[0] <= mean[1] + 1e-9


@given(st.sampled_from(SHAPES), st.floats(0.01, 100.0), st.lists(st.floats(-30.0, 60.0), min_size=4, max_size=4))
@settings(max_examples=60, deadline=None)
def test_layers_and_modes_say_the_same(shape: Shape, biot: float, temps_c: list[float]) -> None:
    """Round trip: layers to modes and back, and the weighted layers are the mean of the modes."""
    layers = pieces_of(shape, np.array([biot]))
    given_c = np.array(temps_c)[:, None]
    amounts = layers.in_modes(given_c)
    assert layers.in_layers(amounts) == pytest.approx(given_c, abs=1e-7)
    assert layers.mean_c(amounts) == pytest.approx(layers.weights_fraction @ given_c, abs=1e-8)


@pytest.mark.parametrize(
    ("args", "error", "words"),
    [
        (("cube", 40.0, 9.0), BadInput, "slab, cylinder or sphere"),
        (("slab", 0.0, 9.0), OutOfRange, "half size"),
        (("slab", math.nan, 9.0), OutOfRange, "half size"),
        (("slab", 40.0, -1.0), OutOfRange, "heat transfer"),
        (("slab", 40.0, 1e6), OutOfRange, "Biot number"),
    ],
)
def test_what_cannot_be(args: tuple[Shape, float, float], error: type[Exception], words: str) -> None:
    """Bad input: another shape, a piece without size, a surface through which less than nothing or all passes."""
    with pytest.raises(error, match=words):
        layers_of(*args)
