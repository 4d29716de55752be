"""One file per question; each returns one frozen Answer."""
