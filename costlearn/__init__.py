"""costlearn learns cost, days and overruns from a small renovation firm's own finished jobs."""
