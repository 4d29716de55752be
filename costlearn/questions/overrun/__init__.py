"""Overruns: which phases, signal or luck, why, when, and what to do."""
