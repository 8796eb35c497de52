"""Shaping drawn to scale: the sheet, the rolled log and its end, the pan filled and after the proof."""

from smallhours.sheets.shaping.drawings import Drawn, shaping_drawings

__all__ = ["Drawn", "shaping_drawings"]
