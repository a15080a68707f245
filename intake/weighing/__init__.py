"""From a measured mass to its explanation: checking boxes, guessing the contents of parcels, estimating masses."""
