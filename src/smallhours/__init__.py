"""smallhours: a dough clock for the person who has to have the bake ready when the doors open."""

__version__ = "0.1.0"
