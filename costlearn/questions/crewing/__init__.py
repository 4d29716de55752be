"""A second person: the effect, one job, a year."""
