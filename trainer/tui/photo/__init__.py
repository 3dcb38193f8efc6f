"""Angle checks on the screen: a photo marked, two checks compared, the page of them."""
