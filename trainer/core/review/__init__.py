"""What the weeks of holds say, as frozen data and sentences."""
