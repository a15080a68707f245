"""Grams in, what explains them out: boxes on the scale, parcels in the hand, paper, estimates."""
