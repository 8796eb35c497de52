"""A scheduling engine that does not know what it schedules: tasks, modes, lags, resources, setup states, dues."""
