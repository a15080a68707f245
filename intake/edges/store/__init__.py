"""The library on disk: records, pictures, the ledger of every change; the only part that knows the database."""
