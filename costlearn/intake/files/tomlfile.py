"""A TOML file to its plain data, or one sentence on why it cannot be read."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from costlearn.disk import is_device
from costlearn.errors import Place, UnreadableFile

LARGEST_BYTES = 2**20
"""No scope, quote, map or settings file is near this size; a spreadsheet given in error may be."""

_SHOWN = 60
_DEEPEST = 40
"""Lists and tables within one another; a person writes three or four."""
_LARGEST_WHOLE = 2**63
"""TOML v1.0.0, "Integer": what does not fit 64 bits is an error."""
_NAME = r"""(?:(?<![\w-])[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+"""
_LONG_NAME = re.compile(rf"(?:{_NAME}\.[ \t]*+){{{_DEEPEST}}}")
"""The parser takes the square of the parts of a name with dots."""
_LINE = re.compile(r"at line (\d{1,7}), column")
_WORDS_AS_NAME = re.compile(r"[ \t]*[\w-]+[ \t]+[\w-][\w \t-]*=")


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
        if is_device(path):
            # A device or a pipe may never end, or never begin.
            _refuse_device(what, place)
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise UnreadableFile(
            f"{what} cannot be read: there is no such file", place=place, expected="a TOML file"
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        why = "it is a folder" if path.is_dir() else reason.lower()
        raise UnreadableFile(
            f"{what} cannot be read: {why}", place=place, expected="a TOML file"
        ) from None
    if len(data) > LARGEST_BYTES:
        raise UnreadableFile(
            f"{what} is larger than 1 MB", place=place, expected=f"a TOML file with {expected}"
        )
    try:
        text = data.decode("utf-8-sig")
        found = f"{what} holds a name of more than {_DEEPEST} parts"
        if not _LONG_NAME.search(text):
            raw = tomllib.loads(text)
            found = _beyond(raw, what)
            if not found:
                return raw
    except UnicodeDecodeError:
        raise UnreadableFile(
            f"{what} is no plain text", place=place, expected="a TOML file, UTF-8"
        ) from None
    except ValueError as error:
        # Not only TOMLDecodeError: a number of thousands of digits is refused by int() itself.
        found = f"{what} is no TOML: {error}{_line_at(text, error)}"
    except RecursionError:
        found = f"{what} is no TOML: lists within lists, too deep to read"
    raise UnreadableFile(found, place=place, expected=expected)


def _line_at(text: str, error: ValueError) -> str:
    """The line an error speaks of, and what the quickest slip in it is; "" where it names none."""
    at = _LINE.search(str(error))
    lines = text.split("\n")
    if at is None or not 0 < int(at[1]) <= len(lines):
        return ""
    line = lines[int(at[1]) - 1]
    said = f", which reads {shown(line)}"
    if _WORDS_AS_NAME.match(line):
        said += " (a name of several words stands in quotes)"
    return said


def _refuse_device(what: str, place: Place) -> None:
    raise UnreadableFile(f"{what} is no plain file", place=place, expected="a TOML file")


def _beyond(raw: dict[str, Any], what: str) -> str:
    """Why the data of a file are none that a person wrote: too deep, a number too large; or ""."""
    level: list[Any] = [raw]
    for _ in range(_DEEPEST):
        level = [one for value in level for one in _within(value)]
        if any(isinstance(one, int) and abs(one) >= _LARGEST_WHOLE for one in level):
            return f"{what} holds a number of more than 18 figures"
        if not level:
            return ""
    return f"{what} holds lists within lists, too deep to read"


def _within(value: Any) -> Iterable[Any]:
    """What a table or list holds; nothing for a plain value."""
    if isinstance(value, dict):
        return value.values()
    return value if isinstance(value, list) else ()


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
