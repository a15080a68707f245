"""What was seen of a copy, and the reports about it."""
