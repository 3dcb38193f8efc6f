"""What leads a person: from the data file to a session carried out and kept."""
