"""Answers to offline HTML pages: nothing is computed here."""
