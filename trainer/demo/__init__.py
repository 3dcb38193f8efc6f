"""A made-up trainee, so that every screen has something to show."""
