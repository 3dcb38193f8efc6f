"""A photo from a file, seen in parts: the only place that loads Pillow."""
