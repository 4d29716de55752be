"""The job book: one SQLite file, the only state there is."""
