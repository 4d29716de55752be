"""The column map: what a user says about the columns of a spreadsheet nobody could guess."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from costlearn.errors import InputProblem, Place
from costlearn.firm import DATE_ORDERS
from costlearn.intake.files.tomlfile import load_toml
from costlearn.intake.spelling import likest
from costlearn.intake.targets import KINDS, fields_of, headings, reads_as
from costlearn.intake.values.cells import LARGEST
from costlearn.vocabulary import Vocabulary, fold, standard

Constant = str | int | float | bool | date

_KEYS = (
    "kind",
    "sheet",
    "header_row",
    "date_order",
    "missing",
    "columns",
    "phases",
    "constants",
    "only",
    "units",
)
_UNITS = ("sqft", "sqm", "lnft", "lnm", "each", "hours", "days")


@dataclass(frozen=True)
class ColumnMap:
    """What the user said: the kind of table, where it stands, and what each column means.

    ``columns`` maps a field to the headings that make it up (several are joined with " / ");
    if it is not empty, no other column is read. ``phases`` maps folded words of the file to phase
    keys. ``constants`` hold for every row, ``only`` picks the rows to take, ``units`` says the unit
    of a field's bare numbers.
    """

    file: str = ""
    kind: str | None = None
    sheet: str | None = None
    header_row: int | None = None
    date_order: str | None = None
    missing: tuple[str, ...] = ()
    columns: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    phases: Mapping[str, str] = field(default_factory=dict)
    constants: Mapping[str, Constant] = field(default_factory=dict)
    only: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    units: Mapping[str, str] = field(default_factory=dict)

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
    row = raw.get("header_row")
    if row is not None and (isinstance(row, bool) or not isinstance(row, int) or row < 1):
        raise _wrong(file, "header_row", f"found {row!r}", "a row number, 1 or more")
    sheet = raw.get("sheet")
    if sheet is not None and not isinstance(sheet, str):
        raise _wrong(file, "sheet", f"found {sheet!r}", "the name of a sheet in quotes")
    columns = {k: _texts(v, file, f"columns.{k}") for k, v in _table(raw, "columns", file).items()}
    if columns and kind is None:
        raise _wrong(file, "kind", "[columns] needs the kind of table", " or ".join(KINDS))
    _check_fields(columns, kind, file, "columns")
    constants = _table(raw, "constants", file)
    _check_constants(constants, kind, file)
    return ColumnMap(
        file=file,
        kind=kind,
        sheet=sheet,
        header_row=row,
        date_order=_choice(raw, "date_order", DATE_ORDERS, file),
        missing=_texts(raw.get("missing", ()), file, "missing"),
        columns=columns,
        phases=_phases(_table(raw, "phases", file), file),
        constants=constants,
        only={k: _values(v, file, f"only.{k}") for k, v in _table(raw, "only", file).items()},
        units=_units(_table(raw, "units", file), kind, file),
    )


def _wrong(file: str, key: str, found: str, expected: str, hint: str = "") -> InputProblem:
    return InputProblem(found, place=Place(file, "", 0, key), expected=expected, hint=hint)


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
    _check_fields({k: v for k, v in given.items() if k != "tax_rate"}, kind, file, "constants")
    for name, value in given.items():
        key = f"constants.{name}"
        if name == "tax_rate":
            if isinstance(value, bool) or not isinstance(value, float | int) or not 0 <= value < 1:
                raise _wrong(file, key, f"found {value!r}", "a share, such as 0.13 for 13 %")
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
            expected = "sf, m2, lf, each, hours or days"
            raise _wrong(file, f"units.{name}", f"found {value!r}", expected)
        units[name] = unit
    return units
