"""When which sound comes, and how the breath is laid into a hold."""
