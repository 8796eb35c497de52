"""Warming and chilling of many pieces along the places they stand in, by implicit finite volumes.

``follow(Pieces(...), path_of([Spell(...), ...]))`` gives a ``HeatHistory``. ``layers_of(...)`` is its quick relative
for ensembles: one shape, one surface, four layers, steps of any length. NumPy is imported at the first call.
"""

from smallhours.science.heat_path.following import QUICK, SHIPPED, Growth, HeatHistory, OwnHeat, Resolution, follow
from smallhours.science.heat_path.layers import Layers, layers_of
from smallhours.science.heat_path.own_heat import known_heat, yeast_heat
from smallhours.science.heat_path.pieces import Pieces
from smallhours.science.heat_path.places import Places, Spell, measured, path_of, paths_of, with_doors

__all__ = [
    "QUICK",
    "SHIPPED",
    "Growth",
    "HeatHistory",
    "Layers",
    "OwnHeat",
    "Pieces",
    "Places",
    "Resolution",
    "Spell",
    "follow",
    "known_heat",
    "layers_of",
    "measured",
    "path_of",
    "paths_of",
    "with_doors",
    "yeast_heat",
]
