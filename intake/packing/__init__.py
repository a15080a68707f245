"""Copies and boxes in, plans out: mass, packing, lifting, weighing, what a parcel holds, what a carrier answers for."""
