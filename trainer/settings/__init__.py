"""What a person chose, and where things lie on their machine."""
