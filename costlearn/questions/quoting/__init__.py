"""Checking a quote: the verdict, its price ladder, its gaps."""
