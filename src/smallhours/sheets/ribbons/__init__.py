"""Dough ribbons: the night, or one dough, drawn as SVG.

A ribbon is one dough. It is as thick as the dough has risen, tinted by how warm it is, patterned by what is done to
it, and lies on the line of the equipment that holds it.
"""

from smallhours.sheets.ribbons.forecast_svg import forecast_svg
from smallhours.sheets.ribbons.lot import lot_svg
from smallhours.sheets.ribbons.night import night_svg
from smallhours.sheets.ribbons.paint import THEMES, Theme, ribbon_css
from smallhours.sheets.ribbons.windows import fits, windows

__all__ = ["THEMES", "Theme", "fits", "forecast_svg", "lot_svg", "night_svg", "ribbon_css", "windows"]
