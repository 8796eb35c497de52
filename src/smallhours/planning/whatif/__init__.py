"""The same night otherwise: what would change, what would cure a late order, how much more would fit."""
