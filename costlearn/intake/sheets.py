"""A file to grids of cells that know their address: workbooks and delimited text."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from costlearn.intake.cells import Raw


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet; ``rows[i]`` is spreadsheet row ``first_row + i``, all rows equally wide."""

    file: str
    sheet: str
    rows: tuple[tuple[Raw, ...], ...]
    first_row: int = 1


def read_grids(path: Path) -> tuple[Grid, ...]:
    """All filled sheets of a file."""
    raise NotImplementedError


def digest(path: Path) -> str:
    """The SHA-256 of a file's bytes, in hexadecimal."""
    raise NotImplementedError
