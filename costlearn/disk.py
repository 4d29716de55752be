"""What a disk may hold that the readers and writers have to know alike."""

from __future__ import annotations

from pathlib import Path

LARGEST_FILE = 512 * 2**20
"""Bytes of the largest file that is read, or taken out of a book to be read anew."""


def is_device(path: Path) -> bool:
    """Whether a path is neither a file nor a folder but, say, a pipe: it may never end."""
    return path.exists() and not path.is_file() and not path.is_dir()
