"""Sheets on paper: weigh-up, bench, oven and the night with its dough ribbons, in English and Spanish."""
