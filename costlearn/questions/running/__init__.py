"""A running job: how far it is, where it ends, when, and how far to trust that."""
