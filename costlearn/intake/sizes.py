"""One cell to an area in square feet or to hours of work, or the reason it is none."""

from __future__ import annotations

from costlearn.intake.cells import Raw, Reading


def read_area(raw: Raw, *, unit: str | None, decimal: str = ".") -> Reading[float]:
    """An area in square feet; ``unit`` ("sqft", "sqm" or None) holds for bare numbers."""
    raise NotImplementedError


def read_hours(
    raw: Raw, *, unit: str | None, hours_per_day: float, decimal: str = "."
) -> Reading[float]:
    """Hours of work; ``unit`` ("hours", "days" or None) holds for bare numbers."""
    raise NotImplementedError
