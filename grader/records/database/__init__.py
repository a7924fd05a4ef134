"""The records: what was graded, where and of which lot, kept for years in SQLite or PostgreSQL, photos beside it."""
