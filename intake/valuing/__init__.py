"""Copies, editions, values and rates -> what a collection is worth, and how surely."""
