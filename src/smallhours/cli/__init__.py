"""The terminal: every command is one verb of ``actions`` or one question to ``bakery``, said and answered."""
