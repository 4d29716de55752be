"""One cell to a value, or the reason it is none."""
