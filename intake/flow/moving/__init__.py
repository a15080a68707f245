"""A box's life: planned, packed, closed, consigned, weighed, arrived, reconciled, claimed for."""
