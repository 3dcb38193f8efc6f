"""Which exercises on which days, and how the first day makes such a plan."""
