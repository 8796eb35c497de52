"""What is warmed or chilled: doughs, butter blocks, milk, eggs; many of them as arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import BadInput
from smallhours.science.conduction import SHAPES
from smallhours.science.ranges import checked_all, checked_all_positive
from smallhours.science.warming import Shape

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

COLDEST_C, HOTTEST_C = -35.0, 120.0
"""From a blast freezer to a steamer; at oven temperatures water boils off, which conduction alone does not describe."""


@dataclass(frozen=True)
class Pieces:
    """So many pieces, each with its own shape, size, temperature and properties.

    Every field is one value for all or an array ``(pieces,)``. ``size_mm``: the whole thickness of a slab, the radius
    of a cylinder or sphere. ``start_c``: one temperature for each piece, or ``(pieces, points)`` (or ``(1, points)``)
    at points evenly spread from the underside (slab) or the middle (cylinder, sphere) to the outside.

    Raises OutOfRange for sizes and properties that are not positive or temperatures outside -35 to 120 °C, BadInput for
    another shape or lengths that do not fit together.
    """

    shape: Shape | Sequence[Shape]
    size_mm: ArrayLike
    start_c: ArrayLike
    density_kg_per_m3: ArrayLike = 1150.0
    specific_heat_j_per_g_k: ArrayLike = 2.8
    conductivity_w_per_m_k: ArrayLike = 0.40

    def __post_init__(self) -> None:
        sizes = {
            "size_mm": checked_all_positive(self.size_mm, "the thickness or radius of a piece", "mm"),
            "density_kg_per_m3": checked_all_positive(self.density_kg_per_m3, "the density", "kg/m³"),
            "specific_heat_j_per_g_k": checked_all_positive(
                self.specific_heat_j_per_g_k, "the specific heat", "J/(g K)"
            ),
            "conductivity_w_per_m_k": checked_all_positive(self.conductivity_w_per_m_k, "the conductivity", "W/(m K)"),
        }
        start = checked_all(self.start_c, "the temperature at the start", COLDEST_C, HOTTEST_C, "°C")
        start = start.reshape(-1, start.shape[-1]) if start.ndim >= 2 else start.reshape(-1, 1)
        shapes = (self.shape,) if isinstance(self.shape, str) else tuple(self.shape)
        for shape in shapes:
            if shape not in SHAPES:
                raise BadInput(f"the shape must be slab, cylinder or sphere (found {shape!r})")
        lengths = {"shape": len(shapes), "start_c": len(start)} | {n: _length(n, v) for n, v in sizes.items()}
        count = max(lengths.values())
        for name, length in lengths.items():
            if length not in (1, count):
                raise BadInput(f"{name} must be one value or {count}, one for each piece (found {length})")
        object.__setattr__(self, "shape", shapes * (count // len(shapes)))
        object.__setattr__(self, "start_c", _spread(start, (count, start.shape[1])))
        for name, values in sizes.items():
            object.__setattr__(self, name, _spread(values.reshape(-1), (count,)))

    @property
    def pieces_count(self) -> int:
        """How many pieces there are."""
        return len(self.shape)

    def dimensions(self) -> Floats:
        """1, 2 or 3 for slab, cylinder, sphere: the volume grows with this power of the size [number]."""
        import numpy as np

        return np.asarray([SHAPES.index(shape) + 1 for shape in self.shape], dtype=np.float64)


def _length(name: str, values: Floats) -> int:
    if values.ndim > 1:
        raise BadInput(f"{name} must be one value or a row, one for each piece (found {values.ndim} dimensions)")
    return int(values.size)


def _spread(values: Floats, shape: tuple[int, ...]) -> Floats:
    import numpy as np

    return np.ascontiguousarray(np.broadcast_to(values, shape))
