"""The live session on the screen."""
