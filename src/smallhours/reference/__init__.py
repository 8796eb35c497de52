"""Numbers from outside, each with unit, source and plausible range."""
