"""The bakery's night put to the planning engine, and the answer written down as a plan."""
