"""How a field of a record is declared, and what is derived from it: one declaration serves all.

A record (``costlearn.records``) writes a field's type with its unit (:data:`Cents`, :data:`Days`)
and, where they do not follow from that, what people see of it (:class:`Shown`). From this come how
its cells are read, its columns in exports and in the job book, its column in the empty workbook,
and its name in sentences. Its spellings as a heading stand in ``intake/headings.toml``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields, is_dataclass, replace
from datetime import date
from types import NoneType
from typing import Annotated, Any, get_args, get_origin, get_type_hints


@dataclass(frozen=True, slots=True)
class Unit:
    """What a value is: ``style`` its column in an export, ``reads`` its cells in a file.

    ``looks`` is its column in the empty workbook; ``from_zero`` says it is never below zero.
    """

    style: str
    reads: str
    looks: str = "text"
    from_zero: bool = False


@dataclass(frozen=True, slots=True)
class Shown:
    """What people see of a field, where that is more than its name.

    Attributes:
        name: what sentences call it.
        called: what it is called where a table is read, if that is another name than the field's.
        sheet: the heading of its column in the empty workbook; "" for a field with none.
        example: what stands in that column in the row that shows what to write; of planned or
            actual figures those that have a column, by their names.
        choices: the list that the column offers.
        width: how wide the column is, in letters.
        only: the only words the field may hold.
    """

    name: str = ""
    called: str = ""
    sheet: str = ""
    example: Any = None
    choices: str = ""
    width: int = 13
    only: tuple[str, ...] = ()


Cents = Annotated[int, Unit("money", "money", "money")]
Days = Annotated[float, Unit("number", "time", "days")]
Hours = Annotated[float, Unit("number", "time", "hours")]
People = Annotated[float, Unit("number", "number")]
SquareFeet = Annotated[float, Unit("number", "area", "size", from_zero=True)]
Share = Annotated[float, Unit("number", "percent", from_zero=True)]
Grade = Annotated[float, Unit("number", "grade")]
Year = Annotated[int, Unit("whole", "year", "year")]

_PLAIN = {
    str: Unit("text", "text"),
    bool: Unit("flag", "flag"),
    int: Unit("whole", "number"),
    float: Unit("number", "number"),
    date: Unit("date", "date", "date"),
}
_SIDES = {"plan": "planned", "actual": "actual"}


@dataclass(frozen=True, slots=True)
class Column:
    """One value of a record: a field, or an amount within the planned or actual ones.

    ``style`` is ``text flag whole number date money``, or ``scope spans list`` of what holds more
    than one value; ``default`` is what a blank cell means, and ``needed`` says that a record cannot
    be without it.
    """

    field: str
    unit: Unit
    shown: Shown
    amount: str = ""
    default: Any = None
    needed: bool = False

    @property
    def style(self) -> str:
        """How its cells look in an export."""
        return self.unit.style

    @property
    def heading(self) -> str:
        """Its heading in an export."""
        if self.amount:
            return f"{_SIDES[self.field]} {self.amount.replace('_', ' ')}"
        return self.field.replace("_", " ")

    @property
    def path(self) -> str:
        """Where it stands in its record ("plan.cost")."""
        return f"{self.field}.{self.amount}" if self.amount else self.field


_known: dict[type, tuple[Column, ...]] = {}


def columns(record: type) -> tuple[Column, ...]:
    """The values of a kind of record in the order of its fields, the place left out."""
    if record not in _known:
        _known[record] = tuple(_declared(record))
    return _known[record]


def _declared(record: type) -> list[Column]:
    found: list[Column] = []
    hints = get_type_hints(record, include_extras=True)
    for one in fields(record):
        if one.name == "place":
            continue
        plain, unit, shown, optional = _parted(hints[one.name])
        if isinstance(plain, type) and is_dataclass(plain):
            found += [_amount(one.name, inner, shown.example or {}) for inner in columns(plain)]
            continue
        if unit is None:
            many = {"rough": "spans", "scope": "scope"}.get(one.name, "list")
            unit = _PLAIN.get(plain) or Unit(many, "text")
        needed = one.default is MISSING and one.default_factory is MISSING and not optional
        default = None if one.default is MISSING else one.default
        found.append(Column(one.name, unit, shown, "", default, needed))
    return found


def _amount(side: str, inner: Column, examples: Mapping[str, Any]) -> Column:
    """An amount of a side; it has a column in the empty workbook if the side gives an example."""
    word, example = _SIDES[side], examples.get(inner.field)
    sheet = "" if example is None else f"{word.capitalize()} {inner.shown.sheet}"
    shown = replace(inner.shown, sheet=sheet, example=example)
    return Column(side, inner.unit, shown, inner.field)


def names(record: type) -> dict[str, str]:
    """What sentences call the values of a kind of record, by field or amount."""
    return {c.amount or c.field: c.shown.name for c in columns(record) if c.shown.name}


def _parted(hint: Any) -> tuple[Any, Unit | None, Shown, bool]:
    """The plain type of a field, its unit if it says one, what is shown, whether it may be None."""
    unit, shown, optional = None, Shown(), False
    while get_origin(hint) is Annotated or NoneType in get_args(hint):
        if get_origin(hint) is not Annotated:
            optional = True
            (hint,) = (option for option in get_args(hint) if option is not NoneType)
            continue
        for said in hint.__metadata__:
            unit = said if isinstance(said, Unit) else unit
            shown = said if isinstance(said, Shown) else shown
        hint = hint.__origin__
    return hint, unit, shown, optional
