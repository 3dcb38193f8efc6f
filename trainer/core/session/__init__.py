"""One session: a machine without a clock, its events, its answers."""
