"""The full-screen program: the only place that imports Textual."""
