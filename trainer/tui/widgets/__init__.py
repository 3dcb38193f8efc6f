"""Drawing parts that more than one screen uses."""
