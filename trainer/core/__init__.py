"""The rules: pure functions and frozen data, standard library only.

Nothing in here reads a clock, a file, a screen or a random number. Time comes in as
seconds on whatever monotonic clock the caller uses; dates come in as arguments.
"""
