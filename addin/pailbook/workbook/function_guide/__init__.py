"""The function guide: every function of the catalogue with its arguments, limits, source and a live example."""
