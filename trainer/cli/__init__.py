"""The command line: thin commands over the core, the store and the sound."""
