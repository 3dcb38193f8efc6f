"""Angle checks: how far the arms go overhead, and what of it the back lends."""
