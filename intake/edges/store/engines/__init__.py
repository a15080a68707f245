"""What only one kind of database knows: SQLite, which is the default, and PostgreSQL."""
