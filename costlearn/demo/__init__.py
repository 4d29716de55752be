"""The invented firm: its raw files, and the seeded generator that made them."""
