"""Sound: players, the child process that plays, and the fallbacks."""
