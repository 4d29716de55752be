"""The rows of one kind of table to entries."""
