"""What copies are worth: valuations, exchange rates, and what changed since an entry of the ledger."""
