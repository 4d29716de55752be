"""The bars: highest interval score at 80 %, as a multiple of the oracle's, in the mean of worlds.

They were measured beforehand with a reference method in four worlds of the same kinds (sums;
factors; heavy tails with unrecorded drivers; idle items with a jump of prices), 100 and more
histories a cell, with 4 to 6 % slack. Worlds of other authors, other numbers: floors, not proofs.
"""

from __future__ import annotations

SIZES = (5, 8, 12, 20, 35, 60, 120)

BARS: dict[tuple[str, bool], tuple[float, ...]] = {
    ("cost", False): (2.05, 1.90, 1.77, 1.63, 1.48, 1.35, 1.25),
    ("person_days", False): (1.85, 1.70, 1.57, 1.49, 1.36, 1.28, 1.20),
    ("elapsed_days", False): (1.60, 1.48, 1.39, 1.35, 1.27, 1.21, 1.16),
    ("cost", True): (1.40, 1.30, 1.27, 1.22, 1.18, 1.15, 1.11),
    ("person_days", True): (1.38, 1.32, 1.31, 1.26, 1.21, 1.18, 1.13),
    ("elapsed_days", True): (1.33, 1.27, 1.25, 1.21, 1.16, 1.14, 1.10),
}
"""By target and whether the quote is used, one for each of SIZES."""

COVERED = ((78, 90), (77, 85), (76, 83), (76, 83), (77, 83), (77, 83), (77, 83))
"""Band of the share held by 80 % intervals, in per cent, one for each of SIZES."""


def bar(target: str, quoted: bool, size: int) -> float | None:
    """The bar of a cell; None for a size it was not measured at."""
    return BARS[target, quoted][SIZES.index(size)] if size in SIZES else None


def covered_band(size: int) -> tuple[float, float] | None:
    """Lowest and highest share held, as shares; None for a size without one."""
    if size not in SIZES:
        return None
    low, high = COVERED[SIZES.index(size)]
    return low / 100, high / 100
