"""A set of pages that stand in one folder and point to each other: all of it comes, or nothing."""

from __future__ import annotations

import errno
import shutil
import tempfile
import time
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path, PurePosixPath

from costlearn.errors import InputProblem, Place

INDEX = "index.html"
LISTED = ".costlearn-pages"
"""The file that lists what the last set wrote, so that the next one clears what it replaces."""
MOST_LISTED = 20_000
UNFINISHED = ".pages-"
OLD_SECONDS = 3600


def write_set(files: Mapping[str, str], to: Path) -> Path:
    """Write a set of pages into a folder; returns the path of its index.

    All files are first written whole into a folder beside their places, then moved, the index last:
    a set that fails leaves the one before as it was. Pages an earlier set wrote there and this one
    lacks are taken away; no other file is touched.

    Args:
        files: text of each file by its path below the folder, with ``/`` between parts; one of
            them is ``index.html``.
        to: the folder; made if need be.

    Raises:
        InputProblem: the folder cannot be written, or a path of ours is taken by something else.
    """
    is_new = not to.exists()
    try:
        to.mkdir(parents=True, exist_ok=True)
        before = _listed(to)
        _sweep(to)
        staged = Path(tempfile.mkdtemp(prefix=UNFINISHED, dir=to))
        try:
            _stage(files, staged)
            _refuse_taken(files, to)
            _move(files, staged, to)
        finally:
            shutil.rmtree(staged, ignore_errors=True)
        _clear(before - set(files), to)
    except OSError as error:
        if is_new:
            with suppress(OSError):
                to.rmdir()
        full = error.errno in (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
        why = "the disk is full" if full else (error.strerror or str(error)).lower()
        raise InputProblem(
            f"the pages cannot be written: {why}",
            place=Place(str(to if full else error.filename or to)),
            hint="make room and try again" if full else "name a folder you may write to",
        ) from error
    return to / INDEX


def _sweep(to: Path) -> None:
    """Take away what a set left unfinished whose program was ended an hour ago or longer."""
    for left in to.glob(f"{UNFINISHED}*"):
        is_old = abs(time.time() - left.stat().st_mtime) > OLD_SECONDS
        if is_old and left.is_dir() and not left.is_symlink():
            shutil.rmtree(left, ignore_errors=True)


def _stage(files: Mapping[str, str], staged: Path) -> None:
    listed = "".join(f"{name}\n" for name in sorted(files))
    for name, text in {**files, LISTED: listed}.items():
        path = staged / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")


def _refuse_taken(files: Mapping[str, str], to: Path) -> None:
    """Stop before anything is moved where a folder stands in the place of a page."""
    for name in files:
        if (to / name).is_dir():
            raise InputProblem(
                "there is a folder of this name already",
                place=Place(str(to / name)),
                expected="a page or nothing",
                hint="name another folder with --to",
            )


def _move(files: Mapping[str, str], staged: Path, to: Path) -> None:
    ranked = sorted(files, key=lambda name: (name == INDEX, name))
    for name in (*ranked[:-1], LISTED, ranked[-1]):
        (to / name).parent.mkdir(parents=True, exist_ok=True)
        (staged / name).replace(to / name)


def _listed(to: Path) -> set[str]:
    """The pages the last set wrote; names that would lead elsewhere are not believed."""
    try:
        lines = (to / LISTED).read_text("utf-8").splitlines()[:MOST_LISTED]
    except (FileNotFoundError, UnicodeDecodeError):
        return set()
    return {line for line in lines if _ours(line)}


def _ours(name: str) -> bool:
    parts = PurePosixPath(name).parts
    plain = bool(parts) and all(p not in ("..", ".") and "\\" not in p for p in parts)
    return plain and not name.startswith("/") and ":" not in name and len(parts) <= 2


def _clear(names: set[str], to: Path) -> None:
    for name in sorted(names):
        path = to / name
        if path.is_file() and not path.is_symlink():
            path.unlink()
