"""The session line by line: for screen readers, simple terminals and logs."""
