"""Rounding to the scale's step so that the parts still add up to the whole, with the error beside its tolerance.

Source: OIML R 76-1 (minimum load of a class III scale: 20 steps); the tolerances of 0.5 % on flour and liquid
and 2 % on salt, yeast and other small things are common practice.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from smallhours.errors import OutOfRange

BULK_TOLERANCE = 0.005
SMALL_TOLERANCE = 0.02
LEAST_STEPS = 20
FINEST_STEP_G = 0.001
"""The finest step of a scale that a kitchen would buy (common practice: 0.01 g, at most 0.001 g)."""
_SMALL_KINDS = frozenset({"salt", "yeast", "leavening", "spice", "flavour", "flavouring"})


@dataclass(frozen=True)
class Rounded:
    """Masses at the scale's step. ``errors``: (rounded - exact) / exact, a share with its sign."""

    masses: dict[str, float]
    errors: dict[str, float]

    @property
    def total_g(self) -> float:
        """What all of them weigh together."""
        return math.fsum(self.masses.values())


def tolerance_for(kind: str) -> float:
    """The share by which an ingredient of this kind may be off (common practice)."""
    return SMALL_TOLERANCE if kind in _SMALL_KINDS else BULK_TOLERANCE


def round_to_step(masses: Mapping[str, float], step_g: float) -> Rounded:
    """Masses as multiples of ``step_g`` whose sum is the sum of the exact ones, rounded once.

    Largest remainder: all are rounded down, then those that lost most (the heaviest first among equals) get one
    step more until the sum is reached. No mass moves by a whole step or more.

    Raises: OutOfRange for a step that is not above 0 g or a mass that is negative or not finite.
    """
    _check(masses, step_g)
    counts = {name: mass / step_g for name, mass in masses.items()}
    down = {name: math.floor(count + 1e-9) for name, count in counts.items()}
    missing = math.floor(math.fsum(counts.values()) + 0.5) - sum(down.values())
    by_loss = sorted(counts, key=lambda name: (round(counts[name] - down[name], 9), masses[name]), reverse=True)
    for name in by_loss[: max(missing, 0)]:
        down[name] += 1
    rounded = {name: _steps(number, step_g) for name, number in down.items()}
    return Rounded(rounded, _errors(masses, rounded))


def round_at_steps(masses: Mapping[str, float], steps_g: Mapping[str, float]) -> Rounded:
    """Masses rounded each on its own scale: every group that shares a step keeps its sum.

    The whole is then off by at most half a step of each scale used; nothing is pushed from the coarse scale
    onto the salt.
    """
    rounded: dict[str, float] = {}
    for step_g in sorted(set(steps_g.values())):
        group = {name: mass for name, mass in masses.items() if steps_g[name] == step_g}
        rounded.update(round_to_step(group, step_g).masses)
    ordered = {name: rounded[name] for name in masses}
    return Rounded(ordered, _errors(masses, ordered))


def step_for(mass: float, steps: Sequence[float], tolerance: float = BULK_TOLERANCE) -> float:
    """The coarsest step in ``steps`` on which ``mass`` (g) is at least 20 steps and half a step is in tolerance.

    If none is fine enough, the finest; ``finer_scale`` then says what to do.
    """
    if not steps or min(steps) <= 0:
        raise OutOfRange(f"a kitchen needs at least one scale step above 0 g (found {list(steps)})")
    fitting = [step for step in steps if mass >= LEAST_STEPS * step and step / 2 <= tolerance * mass * (1 + 1e-12)]
    return max(fitting, default=min(steps))


def finer_scale(name: str, mass_g: float, step_g: float, tolerance: float = BULK_TOLERANCE) -> str | None:
    """One sentence if ``mass_g`` is too small to weigh at ``step_g``, else nothing."""
    if mass_g <= 0:
        return None
    if mass_g < LEAST_STEPS * step_g * (1 - 1e-12):
        finer = _finer(mass_g / LEAST_STEPS)
        scale = f" it on a scale with steps of {finer:g} g or finer, or weigh" if finer else ""
        return (
            f"{mass_g:.4g} g of {name} is under {LEAST_STEPS} steps of a {step_g:g} g scale: weigh{scale} a premix in "
            "which there is more of it"
        )
    if step_g / 2 > tolerance * mass_g * (1 + 1e-12):
        finer = _finer(2 * tolerance * mass_g)
        scale = f" at {finer:g} g or finer, or" if finer else ""
        return (
            f"{mass_g:.4g} g of {name} can be off by {50 * step_g / mass_g:.1f} % on a {step_g:g} g scale "
            f"(at most {100 * tolerance:g} %): weigh it{scale} in a premix"
        )
    return None


def _finer(most_g: float) -> float | None:
    """The coarsest usual scale step (1, 2, 5 times a power of ten) that is no more than ``most_g``; None if no scale of
    a kitchen is so fine."""
    if most_g < FINEST_STEP_G:
        return None
    power = 10.0 ** math.floor(math.log10(most_g))
    return max(power * n for n in (1, 2, 5) if n == 1 or power * n <= most_g * (1 + 1e-9))


def _steps(number: int, step_g: float) -> float:
    """A whole number of steps without the dust of binary fractions (0.1 g scales)."""
    return round(float(number * step_g), 9)


def _errors(exact: Mapping[str, float], rounded: Mapping[str, float]) -> dict[str, float]:
    return {name: (rounded[name] - mass) / mass if mass > 0 else 0.0 for name, mass in exact.items()}


def _check(masses: Mapping[str, float], step_g: float) -> None:
    if not (math.isfinite(step_g) and step_g > 0):
        raise OutOfRange(f"a scale step must be above 0 g (found {step_g})")
    for name, mass in masses.items():
        if not (math.isfinite(mass) and mass >= 0):
            raise OutOfRange(f"the mass of {name} must be 0 g or more (found {mass})")
