"""From copies, editions, valuations and rates to the value of a collection, and how certain it is."""
