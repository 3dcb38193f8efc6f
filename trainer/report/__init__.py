"""A review put together from the data file, as JSON and as a page for a coach."""
