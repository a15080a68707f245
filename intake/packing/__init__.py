"""From copies and boxes to a packing plan: filling, piles, lower bounds, improvement; and the lifting equation."""
