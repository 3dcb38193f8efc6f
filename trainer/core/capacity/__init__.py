"""How long a position could be kept: the estimate beside the rules."""
