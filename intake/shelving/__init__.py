"""From copies and places to a plan of which copy stands where."""
