"""Lists and records of others: what comes in from them and goes out to them."""
