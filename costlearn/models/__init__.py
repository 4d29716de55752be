"""Statistics only: arrays in, distributions out; no files, no printing, no words of the trade."""
