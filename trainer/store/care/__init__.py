"""The data file as a thing: whose it is, whether it is whole, its copies, its lock."""
