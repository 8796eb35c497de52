"""Warming and chilling of many pieces along the places they stand in, by implicit finite volumes.

``follow(Pieces(...), path_of([Spell(...), ...]))`` gives a ``HeatHistory``. NumPy is imported at the first call.
"""

from smallhours.science.heat_path.following import QUICK, SHIPPED, Growth, HeatHistory, OwnHeat, Resolution, follow
from smallhours.science.heat_path.own_heat import known_heat, yeast_heat
from smallhours.science.heat_path.pieces import Pieces
from smallhours.science.heat_path.places import Places, Spell, measured, path_of, paths_of, with_doors

__all__ = [
    "QUICK",
    "SHIPPED",
    "Growth",
    "HeatHistory",
    "OwnHeat",
    "Pieces",
    "Places",
    "Resolution",
    "Spell",
    "follow",
    "known_heat",
    "measured",
    "path_of",
    "paths_of",
    "with_doors",
    "yeast_heat",
]
