"""The data file: the only place that knows SQL."""
