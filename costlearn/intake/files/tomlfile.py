"""A TOML file to its plain data, or one sentence on why it cannot be read."""

from __future__ import annotations

import tomllib
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from costlearn.errors import Place, UnreadableFile

LARGEST_BYTES = 2**20
"""No scope, quote, map or settings file is near this size; a spreadsheet given in error may be."""

_SHOWN = 60


def load_toml(path: Path, what: str, *, expected: str) -> dict[str, Any]:
    """The data of a TOML file.

    Args:
        path: the file.
        what: what it should be, as the start of a sentence ("the column map").
        expected: lines it might hold, for the message.

    Raises:
        UnreadableFile: no such file, a folder, far too large, no plain text, or no TOML.
    """
    place = Place(str(path))
    try:
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise UnreadableFile(
            f"{what} cannot be read: there is no such file", place=place, expected="a TOML file"
        ) from None
    except OSError as error:
        why = "it is a folder" if path.is_dir() else (error.strerror or str(error)).lower()
        raise UnreadableFile(
            f"{what} cannot be read: {why}", place=place, expected="a TOML file"
        ) from None
    if len(data) > LARGEST_BYTES:
        raise UnreadableFile(
            f"{what} is larger than 1 MB", place=place, expected=f"a TOML file with {expected}"
        )
    try:
        return tomllib.loads(data.decode("utf-8-sig"))
    except UnicodeDecodeError:
        raise UnreadableFile(
            f"{what} is no plain text", place=place, expected="a TOML file, UTF-8"
        ) from None
    except ValueError as error:
        # Not only TOMLDecodeError: a number of thousands of digits is refused by int() itself.
        found = f"{what} is no TOML: {error}"
    except RecursionError:
        found = f"{what} is no TOML: lists within lists, too deep to read"
    raise UnreadableFile(found, place=place, expected=expected)


def shown(value: Any) -> str:
    """A value as TOML writes it, short enough for a sentence.

    >>> shown(True), shown(-5), shown("tile")
    ('true', '-5', "'tile'")
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, date | datetime | time):
        return value.isoformat()
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list | tuple):
        value = [shown(v) for v in value]
        text = "[" + ", ".join(value) + "]"
    elif isinstance(value, str):
        text = f"'{' '.join(value.split())}'"
    else:
        text = repr(value)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 3] + "..."
