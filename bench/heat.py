"""How quick the heat solver is: ``PYTHONPATH=src python bench/heat.py``.

1,000 doughs of all shapes and sizes, each with its own room, surface and tray, go through 24 hours: bench, a fridge
whose door is opened twenty times, a retarder that warms up, a proofer. The peers are SciPy's general integrators on the
very same cells, asked for 0.02 K. One by one (``BDF`` with the sparse Jacobian given, ``LSODA`` with its bands) they
take a sample of the doughs; ``BDF together`` takes a larger sample as one system, which somebody would have to write
first. The time for 1,000 is the time of the sample times 1,000 over its size. All in one run, so that the ratio means
something even where the seconds do not. Exit code 1 if a limit is missed: 1 s, 100 times for the peers one by one,
0.3 s to import the science.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from scipy.integrate import solve_ivp
from scipy.sparse import diags

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src")]

from smallhours.science.conduction import SHAPES  # noqa: E402
from smallhours.science.heat_path import SHIPPED, Pieces, Places, Spell, follow, path_of, with_doors  # noqa: E402
from smallhours.science.heat_path.grid import Mesh, flux_jumps, mesh_of  # noqa: E402

HOUR_S, DAY_S = 3600.0, 86_400.0
LIMIT_S, LIMIT_RATIO, LIMIT_IMPORT_S = 1.0, 100.0, 0.3
NEAR_K = 0.02


def doughs(count: int, seed: int = 3) -> tuple[Pieces, Places]:
    """So many doughs and their paths."""
    rng = np.random.default_rng(seed)
    spells = [
        Spell(0.0, HOUR_S, 24.0, 9.0, 5.0),
        *with_doors(Spell(HOUR_S, 15 * HOUR_S, 4.0, 12.0, 5.0), 20, 120.0, 6.0),
        Spell(15 * HOUR_S, 20 * HOUR_S, 4.0, 12.0, 5.0, ambient_end_c=20.0),
        Spell(20 * HOUR_S, 22 * HOUR_S, 32.0, 9.0, 5.0),
        Spell(22 * HOUR_S, DAY_S, 24.0, 9.0, 5.0),
    ]
    path = path_of(spells)
    surface = rng.lognormal(0.0, 0.3, count)
    pieces = Pieces([SHAPES[n % 3] for n in range(count)], rng.uniform(15.0, 60.0, count), rng.normal(25.0, 1.0, count))
    room = rng.normal(0.0, 1.0, count)
    return pieces, Places(
        path.edges_s,
        np.asarray(path.ambient_c) + room,
        np.asarray(path.outside_w_per_m2_k) * surface,
        np.asarray(path.underside_w_per_m2_k) * surface * rng.lognormal(0.0, 0.3, count),
        np.asarray(path.ambient_end_c) + room,
    )


class System:
    """The same cells as a system of ordinary equations: dT/dt = A T + b(t), a row of nodes for each dough."""

    def __init__(self, pieces: Pieces, places: Places, mesh: Mesh, chosen: np.ndarray[Any, Any]) -> None:
        heat = np.asarray(pieces.density_kg_per_m3) * np.asarray(pieces.specific_heat_j_per_g_k) * 1000.0
        self.capacity = (mesh.volumes_m3 * heat)[:, chosen].T
        self.flow = (mesh.faces_m * np.asarray(pieces.conductivity_w_per_m_k))[:, chosen].T
        slab = pieces.dimensions()[chosen] == 1.0
        self.top = np.asarray(places.outside_w_per_m2_k)[:, chosen] * mesh.outer_m2[chosen]
        self.bottom = np.where(slab, np.asarray(places.underside_w_per_m2_k)[:, chosen], 0.0)
        self.begin, self.end = (np.asarray(v)[:, chosen] for v in (places.ambient_c, places.ambient_end_c))
        self.edges = np.asarray(places.edges_s)[:, 0]
        self.start = np.repeat(np.asarray(pieces.start_c)[chosen], self.capacity.shape[1], axis=1)

    def rates(self, spell: int) -> Callable[[float, np.ndarray[Any, Any]], np.ndarray[Any, Any]]:
        """dT/dt within a spell."""
        begin, lasts = self.edges[spell], self.edges[spell + 1] - self.edges[spell]

        def of(at_s: float, flat: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
            temps = flat.reshape(self.start.shape)
            air = self.begin[spell] + (self.end[spell] - self.begin[spell]) * ((at_s - begin) / lasts)
            between = self.flow * (temps[:, 1:] - temps[:, :-1])
            gained = np.zeros_like(temps)
            gained[:, :-1] += between
            gained[:, 1:] -= between
            gained[:, -1] += self.top[spell] * (air - temps[:, -1])
            gained[:, 0] += self.bottom[spell] * (air - temps[:, 0])
            rates: np.ndarray[Any, Any] = (gained / self.capacity).ravel()
            return rates

        return of

    def jacobian(self, spell: int) -> Any:
        """A, sparse."""
        diagonal = np.zeros(self.start.shape)
        diagonal[:, :-1] -= self.flow
        diagonal[:, 1:] -= self.flow
        diagonal[:, -1] -= self.top[spell]
        diagonal[:, 0] -= self.bottom[spell]
        beside = np.concatenate([self.flow, np.zeros((len(self.flow), 1))], axis=1).ravel()[:-1]
        capacity = self.capacity.ravel()
        return diags(
            [beside / capacity[1:], diagonal.ravel() / capacity, beside / capacity[:-1]], [-1, 0, 1], format="csc"
        )

    def solved(self, method: str, times: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
        """Mean temperatures at the times, begun afresh at every edge, so that none is missed."""
        temps, means = self.start.ravel(), []
        shares = self.capacity / self.capacity.sum(axis=1, keepdims=True)
        for spell in range(len(self.edges) - 1):
            span = (self.edges[spell], self.edges[spell + 1])
            inside = times[(times > span[0]) & (times <= span[1])]
            wanted = np.unique(np.append(inside, span[1]))
            extra: dict[str, Any] = {"lband": 1, "uband": 1} if method == "LSODA" else {"jac": self.jacobian(spell)}
            run = solve_ivp(self.rates(spell), span, temps, method, wanted, rtol=1e-9, atol=NEAR_K, **extra)
            rows = run.y.reshape(*self.start.shape, -1)
            means.append(np.einsum("pn,pnt->pt", shares, rows)[:, : len(inside)])
            temps = run.y[:, -1]
        return np.concatenate(means, axis=1)


def import_s() -> float:
    """Seconds to import the modules of the science in a fresh interpreter, its own start not counted."""
    names = sorted(p.stem for p in (ROOT / "src/smallhours/science").iterdir() if p.suffix == ".py" or p.is_dir())
    modules = ", ".join(f"smallhours.science.{n}" for n in names if not n.startswith("_"))
    code = f"import time; t = time.perf_counter(); import {modules}; print(time.perf_counter() - t)"
    runs = [subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True,
                           env={"PYTHONPATH": str(ROOT / "src")}) for _ in range(3)]  # fmt: skip
    return min(float(run.stdout) for run in runs)


def timed(action: Callable[[], Any]) -> tuple[float, Any]:
    """Seconds and what came of it."""
    begin = time.perf_counter()
    found = action()
    return time.perf_counter() - begin, found


def main() -> int:
    """Measure, print, and say whether the limits were kept."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--doughs", type=int, default=1000)
    parser.add_argument("--sample", type=int, default=12, help="doughs that the general integrators take one by one")
    parser.add_argument("--together", type=int, default=100, help="doughs that they take as one system")
    asked = parser.parse_args()
    pieces, places = doughs(asked.doughs)
    times = np.linspace(0.0, DAY_S, 145)
    follow(pieces, places, times)  # load everything once
    runs = [timed(lambda: follow(pieces, places, times)) for _ in range(3)]
    ours_s, history = min(runs, key=lambda run: run[0])
    print(f"{asked.doughs} doughs, 24 h, {len(np.asarray(places.ambient_c))} spells, every 10 min: {ours_s:.2f} s "
          f"(three runs: {', '.join(f'{s:.2f}' for s, _ in runs)})")  # fmt: skip
    mesh = mesh_of(pieces, flux_jumps(pieces, places), SHIPPED.cells_count, SHIPPED.tolerance_k)
    alone, many = (np.linspace(0, asked.doughs - 1, n).astype(int) for n in (asked.sample, asked.together))
    one_by_one = [np.array([c]) for c in alone]
    ratios = []
    print(f"{'peer':14}{'sample':>8}{'seconds':>9}{'for all, s':>12}{'times slower':>14}{'mean differs by, K':>20}")
    for name, groups in (("BDF", one_by_one), ("LSODA", one_by_one), ("BDF together", [many])):
        begin = time.perf_counter()
        solved = [System(pieces, places, mesh, group).solved(name.split()[0], times) for group in groups]
        seconds = time.perf_counter() - begin
        chosen = np.concatenate(groups)
        whole = seconds * asked.doughs / len(chosen)
        off = float(np.abs(np.concatenate(solved) - history.mean_c[chosen][:, 1:]).max())
        ratios.append(whole / ours_s)
        print(f"{name:14}{len(chosen):8}{seconds:9.2f}{whole:12.0f}{ratios[-1]:14.0f}{off:20.3f}")
    loaded = import_s()
    print(f"importing the science: {loaded:.2f} s")
    kept = ours_s < LIMIT_S and min(ratios[:2]) >= LIMIT_RATIO and loaded < LIMIT_IMPORT_S
    print("limits kept" if kept else "a limit was missed")
    return 0 if kept else 1


if __name__ == "__main__":
    raise SystemExit(main())
