"""The column map: what a user says about the columns of a spreadsheet nobody could guess."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cache, reduce
from importlib.resources import files
from pathlib import Path
from typing import Any

from costlearn.errors import InputProblem, Place
from costlearn.firm import DATE_ORDERS
from costlearn.intake.files.tomlfile import load_toml
from costlearn.intake.spelling import likest
from costlearn.intake.targets import KINDS, fields_of, headings, reads_as
from costlearn.intake.taxed_headings import BEFORE_TAX, WITH_TAX
from costlearn.intake.values.cells import LARGEST
from costlearn.vocabulary import Vocabulary, fold, standard

Constant = str | int | float | bool | date

Head = str | int
"""A column as a map names it: by its heading, its letter ("D") or its number from 1."""

_KEYS = (
    "kind",
    "sheet",
    "header_row",
    "date_order",
    "decimal",
    "sign",
    "marker",
    "missing",
    "columns",
    "phases",
    "constants",
    "only",
    "skip",
    "units",
)
_UNITS = (
    "sqft", "sqm", "lnft", "lnm", "each", "hours", "days", "weeks", "person-days", "days x people",
    "thousands", BEFORE_TAX, WITH_TAX,
)  # fmt: skip
NO_HEADINGS = 0
"""The heading row of a sheet without headings."""
_ROWS = "rows"
"""The key under only and skip that picks rows by their numbers."""
_DECIMALS = {"point": ".", "comma": ","}
_SIGNS = {"out positive": 1, "out negative": -1}
_ROW = re.compile(r"[0-9]{1,9}")
_LETTERS = re.compile(r"[A-Z]{1,2}")


@dataclass(frozen=True, slots=True)
class Marker:
    """The column whose word says which way the money of a line went, and its words."""

    column: Head
    out: tuple[str, ...]
    into: tuple[str, ...]

    def way(self, text: str) -> int:
        """1 where a word says that money went out, -1 in, 0 for any other word."""
        word = fold(text) or text.strip()
        return int(word in self.out) - int(word in self.into)


@dataclass(frozen=True, slots=True)
class Rule:
    """Rows picked: those with one of some values in each column named, or by their numbers."""

    values: Mapping[Head, tuple[str, ...]] = field(default_factory=dict)
    rows: tuple[range, ...] = ()

    def __bool__(self) -> bool:
        """Whether any row is picked."""
        return bool(self.values or self.rows)

    def __str__(self) -> str:
        """The rule in words, for a finding."""
        said = [f"{head} = {' or '.join(values)}" for head, values in self.values.items()]
        rows = [f"{r.start}-{r.stop - 1}" if len(r) > 1 else str(r.start) for r in self.rows]
        return "; ".join([*said, *([f"rows {', '.join(rows)}"] if rows else [])])


@dataclass(frozen=True)
class ColumnMap:
    """What the user said: the kind of table, where it stands, and what each column means.

    ``columns`` maps a field to the headings that make it up (several are joined with " / ");
    if it is not empty, no other column is read. ``header_row`` is :data:`NO_HEADINGS` for a sheet
    without headings, whose columns are named by letter or number. ``phases`` maps folded words of
    the file to phase keys. ``constants`` hold for every row, ``only`` and ``skip`` pick the rows to
    take and to leave, ``units`` says the unit of a field's bare numbers. ``sign`` is 1 where
    amounts above zero are money that went out, -1 where they are money that came in.
    """

    file: str = ""
    kind: str | None = None
    sheet: str | None = None
    header_row: int | None = None
    date_order: str | None = None
    decimal: str = ""
    sign: int = 0
    marker: Marker | None = None
    missing: tuple[str, ...] = ()
    columns: Mapping[str, tuple[Head, ...]] = field(default_factory=dict)
    phases: Mapping[str, str] = field(default_factory=dict)
    constants: Mapping[str, Constant] = field(default_factory=dict)
    only: Rule = field(default_factory=Rule)
    skip: Rule = field(default_factory=Rule)
    units: Mapping[str, str] = field(default_factory=dict)

    @property
    def heads(self) -> tuple[Head, ...]:
        """All columns the map names, those it picks rows by among them."""
        named = (head for heads in self.columns.values() for head in heads)
        marker = (self.marker.column,) if self.marker else ()
        return (*named, *self.only.values, *self.skip.values, *marker)

    def extend(self, vocabulary: Vocabulary) -> Vocabulary:
        """The vocabulary with the map's phase words; a key not known adds a phase of the firm."""
        words: dict[str, list[str]] = {}
        for word, key in self.phases.items():
            words.setdefault(key, []).append(word)
        return vocabulary.with_phases(words) if words else vocabulary


def load_map(path: Path) -> ColumnMap:
    """Read a column map from a TOML file.

    Raises:
        UnreadableFile: the file is missing or is no TOML.
        InputProblem: a key, field or value in it cannot be used.
    """
    raw = load_toml(path, "the column map", expected='lines such as job = "Job name"')
    return map_from(raw, path.name)


def map_from(raw: Mapping[str, Any], file: str = "") -> ColumnMap:
    """A column map from its parsed TOML.

    Raises:
        InputProblem: a key, field or value cannot be used.
    """
    for key in raw:
        if key not in _KEYS:
            raise _wrong(file, key, f"'{key}' is no part of a column map", ", ".join(_KEYS))
    kind = _choice(raw, "kind", KINDS, file)
    row = _header_row(raw.get("header_row"), file)
    sheet = raw.get("sheet")
    if sheet is not None and not isinstance(sheet, str):
        raise _wrong(file, "sheet", f"found {sheet!r}", "the name of a sheet in quotes")
    columns = {k: _heads(v, file, f"columns.{k}") for k, v in _table(raw, "columns", file).items()}
    if columns and kind is None:
        raise _wrong(file, "kind", "[columns] needs the kind of table", " or ".join(KINDS))
    if row == NO_HEADINGS and not columns:
        expected = "[columns] with the letter or the number of each column"
        raise _wrong(file, "header_row", "a sheet without headings needs its columns", expected)
    if row is None and any(isinstance(head, int) for heads in columns.values() for head in heads):
        expected = "the row with the headings, or 'none'"
        raise _wrong(file, "header_row", "columns by number need a row to begin below", expected)
    _check_fields(columns, kind, file, "columns")
    constants = _table(raw, "constants", file)
    _check_constants(constants, kind, file)
    return ColumnMap(
        file=file,
        kind=kind,
        sheet=sheet,
        header_row=row,
        date_order=_choice(raw, "date_order", DATE_ORDERS, file),
        decimal=_DECIMALS.get(_choice(raw, "decimal", tuple(_DECIMALS), file) or "", ""),
        sign=_SIGNS.get(_choice(raw, "sign", tuple(_SIGNS), file) or "", 0),
        marker=_marker(_table(raw, "marker", file), file),
        missing=_texts(raw.get("missing", ()), file, "missing"),
        columns=columns,
        phases=_phases(_table(raw, "phases", file), file),
        constants=constants,
        only=_rule(_table(raw, "only", file), file, "only"),
        skip=_rule(_table(raw, "skip", file), file, "skip"),
        units=_units(_table(raw, "units", file), kind, file),
    )


def position(head: Head) -> int | None:
    """The column that a number or a letter names, counted from 0; None for a heading.

    >>> position(1), position("D"), position("AA"), position("Cost")
    (0, 3, 26, None)
    """
    if isinstance(head, int):
        return head - 1
    if not _LETTERS.fullmatch(head):
        return None
    return reduce(lambda at, letter: 26 * at + ord(letter) - 64, head, 0) - 1


@cache
def map_keys() -> tuple[tuple[str, str, str], ...]:
    """Every key of a column map: its name, what it says, and an example in TOML."""
    text = files("costlearn.intake").joinpath("column_map.toml").read_text("utf-8")
    return tuple((k["name"], k["says"], k["example"].strip()) for k in tomllib.loads(text)["key"])


def _wrong(file: str, key: str, found: str, expected: str, hint: str = "") -> InputProblem:
    return InputProblem(found, place=Place(file, "", 0, key), expected=expected, hint=hint)


def _header_row(row: Any, file: str) -> int | None:
    if row == "none":
        return NO_HEADINGS
    if row is None or (isinstance(row, int) and not isinstance(row, bool) and row > 0):
        return row
    raise _wrong(file, "header_row", f"found {row!r}", "a row number, 1 or more, or 'none'")


def _heads(value: Any, file: str, key: str) -> tuple[Head, ...]:
    listed = value if isinstance(value, list | tuple) else [value]
    fine = all(
        isinstance(v, str) or (isinstance(v, int) and not isinstance(v, bool) and v > 0)
        for v in listed
    )
    if not listed or not fine:
        expected = "a heading in quotes, the letter or number of a column, or a list of them"
        raise _wrong(file, key, f"found {value!r}", expected)
    return tuple(listed)


def _marker(given: Mapping[str, Any], file: str) -> Marker | None:
    if not given:
        return None
    if set(given) != {"column", "out", "in"}:
        found = f"found {', '.join(given)}"
        raise _wrong(file, "marker", found, "column, and the words for money out and in")
    (column,) = _heads(given["column"], file, "marker.column")[:1]
    out, into = (
        tuple(fold(word) or word.strip() for word in _texts(given[way], file, f"marker.{way}"))
        for way in ("out", "in")
    )
    return Marker(column, out, into)


def _rule(given: Mapping[str, Any], file: str, part: str) -> Rule:
    picked = {k: _values(v, file, f"{part}.{k}") for k, v in given.items()}
    rows = tuple(_range(text, file, f"{part}.{_ROWS}") for text in picked.pop(_ROWS, ()))
    return Rule({int(k) if k.isdecimal() else k: v for k, v in picked.items()}, rows)


def _range(text: str, file: str, key: str) -> range:
    first, _, last = text.partition("-")
    if not _ROW.fullmatch(first.strip()) or not _ROW.fullmatch((last or first).strip()):
        raise _wrong(file, key, f"found {text!r}", "a row number such as 7, or rows such as '7-12'")
    return range(int(first), int(last or first) + 1)


def _table(raw: Mapping[str, Any], key: str, file: str) -> dict[str, Any]:
    value = raw.get(key, {})
    if not isinstance(value, dict):
        raise _wrong(file, key, f"found {value!r}", f"a table headed [{key}]")
    return _flat(value) if key in {"columns", "constants", "units"} else value


def _flat(table: Mapping[str, Any], before: str = "") -> dict[str, Any]:
    """Dotted keys written without quotes (plan.cost = ...) as the one key they were meant for."""
    flat: dict[str, Any] = {}
    for key, value in table.items():
        if isinstance(value, dict):
            flat.update(_flat(value, f"{before}{key}."))
        else:
            flat[before + key] = value
    return flat


def _choice(raw: Mapping[str, Any], key: str, known: tuple[str, ...], file: str) -> str | None:
    value = raw.get(key)
    if value is None or value in known:
        return value
    raise _wrong(file, key, f"found {value!r}", " or ".join(f"'{k}'" for k in known))


def _texts(value: Any, file: str, key: str) -> tuple[str, ...]:
    listed = [value] if isinstance(value, str) else value
    if not isinstance(listed, list | tuple) or not all(isinstance(v, str) for v in listed):
        raise _wrong(file, key, f"found {value!r}", "a text in quotes, or a list of them")
    return tuple(listed)


def _values(value: Any, file: str, key: str) -> tuple[str, ...]:
    listed = value if isinstance(value, list) else [value]
    if not listed or not all(isinstance(v, str | int | float | bool) for v in listed):
        raise _wrong(file, key, f"found {value!r}", "a value, or a list of values")
    return tuple(str(v) for v in listed)


def _check_fields(given: Mapping[str, Any], kind: str | None, file: str, part: str) -> None:
    kinds = (kind,) if kind else KINDS
    for name in given:
        if any(reads_as(k, name) for k in kinds):
            if name.startswith("scope."):
                standard().item(name.removeprefix("scope."))
            continue
        known = [f for k in kinds for f in fields_of(k)]
        near = ", ".join(f"'{f}'" for f in likest(name, dict.fromkeys(known), 4))
        what = f"a table of {kind}" if kind else "any table"
        raise _wrong(file, f"{part}.{name}", f"'{name}' is no field of {what}", f"such as {near}")


def _check_constants(given: Mapping[str, Any], kind: str | None, file: str) -> None:
    of_all = {"tax_rate", "currency"}
    _check_fields({k: v for k, v in given.items() if k not in of_all}, kind, file, "constants")
    for name, value in given.items():
        key = f"constants.{name}"
        if name == "tax_rate":
            if isinstance(value, bool) or not isinstance(value, float | int) or not 0 <= value < 1:
                raise _wrong(file, key, f"found {value!r}", "a share, such as 0.13 for 13 %")
        elif name == "currency":
            if not isinstance(value, str) or not re.fullmatch("[A-Z]{3}", value):
                raise _wrong(file, key, f"found {value!r}", "three letters such as 'CAD'")
        elif not isinstance(value, str | int | float | bool | date) or (
            isinstance(value, int | float) and not abs(value) <= LARGEST
        ):
            raise _wrong(file, key, f"found {value!r}", "a text, a number, a date, true or false")


def _phases(given: Mapping[str, Any], file: str) -> dict[str, str]:
    for word, key in given.items():
        if not isinstance(key, str) or not fold(key):
            raise _wrong(file, f"phases.{word}", f"found {key!r}", "the key of a phase in quotes")
    return {fold(word): key for word, key in given.items()}


def _units(given: Mapping[str, Any], kind: str | None, file: str) -> dict[str, str]:
    _check_fields(given, kind, file, "units")
    units: dict[str, str] = {}
    for name, value in given.items():
        unit = headings().units.get(fold(value)) if isinstance(value, str) else None
        unit = value if value in _UNITS else unit
        if unit not in _UNITS:
            expected = "one of sf, m2, lf, " + ", ".join(_UNITS[4:])
            raise _wrong(file, f"units.{name}", f"found {value!r}", expected)
        units[name] = unit
    return units
