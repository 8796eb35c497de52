"""Pages for desk and tablet: they read through actions and records and show; no rule of baking is in here."""
