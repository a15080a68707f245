"""Copies and places in, a plan of what stands where out."""
