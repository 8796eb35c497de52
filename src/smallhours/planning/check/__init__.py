"""The outsider's check: everything that could be wrong with a plan, found from the documents alone."""
