"""Pictures as rows of characters, for the terminal and for the page."""
