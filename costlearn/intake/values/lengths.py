"""How people write a length or an area: feet and inches, metres, square feet, "12 x 5"."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from costlearn.intake.values.numerals import numeral, tidy
from costlearn.intake.values.tokens import Walk, lex, lexicon
from costlearn.units import FT_PER_M, SQFT_PER_SQM

SIZES = lexicon(
    sqft="sf|s f|sq ft|sq. ft|sq feet|sq. feet|sq foot|sqft|sq.ft|square feet|square foot|square ft"
    "|ft2|ft^2|pi2|pi^2|pi ca|pi. ca|pi car|pi carre|pi carres|pied carre|pieds carres",
    sqm="m2|m^2|sqm|sq m|sq. m|sq metres|sq meters|sq metre|sq meter|square metres|square meters"
    "|square metre|square meter|metre carre|metres carres",
    ft="'|ft|feet|foot|pi|pied|pieds",
    inch="\"|''|in|inch|inches|po|pouce|pouces",
    m="m|metre|metres|meter|meters",
    cm="cm",
    mm="mm",
    linear="lf|lin ft|lin. ft|linear feet|linear foot|linear ft|lineal feet|lineal ft|lnft|lm"
    "|lin m|linear metres|linear m",
    times="x|×|*|by|par",
    plus="+|plus",
    rough="~|≈|±|+/-|approx|approximately|about|around|circa|ca|c|environ|ish|roughly|or so|?",
)
_FEET_PER = {"ft": 1.0, "inch": 1 / 12, "m": FT_PER_M, "cm": FT_PER_M / 100, "mm": FT_PER_M / 1000}
_UNIT_OF = {"sqft": "sqft", "sqm": "sqm", "ft": "sqft", "inch": "sqft", "m": "sqm", "cm": "sqm"}


def area_unit(text: str) -> str | None:
    """The unit of area a word means, "sqft" or "sqm", or None.

    >>> area_unit("sq. ft."), area_unit("m2"), area_unit("lf")
    ('sqft', 'sqm', None)
    """
    kinds = [t.kind for t in lex(tidy(text), ".", SIZES) if t.kind != "."]
    return kinds[0] if kinds in (["sqft"], ["sqm"]) else None


def unit_for_bare_areas(raws: Iterable[object]) -> str | None:
    """The one unit that some cells state, for those that state none.

    None if every cell states its unit, none does, or the stated ones differ.

    >>> unit_for_bare_areas(["60 sq ft", 45, "22 sf"]), unit_for_bare_areas(["60 sq ft", "5 m2", 4])
    ('sqft', None)
    """
    stated: set[str] = set()
    bare = False
    for raw in raws:
        if raw in (None, ""):
            continue
        tokens = lex(tidy(raw), ".", SIZES) if isinstance(raw, str) else ()
        units = {_UNIT_OF[t.kind] for t in tokens if t.kind in _UNIT_OF}
        stated |= units
        bare |= not units
    return stated.pop() if len(stated) == 1 and bare else None


def quantity(text: str, decimal: str) -> float | None:
    """A number, with or without a fraction: "12.5", "6 1/2", "3/4"; None if it is none.

    >>> quantity("6 1/2", "."), quantity("0/0", ".")
    (6.5, None)
    """
    match = re.fullmatch(r"(?:([0-9]+)[ -])?([0-9]{1,4})/([0-9]{1,4})", text)
    if match:
        whole, top, below = (int(g or 0) for g in match.groups())
        return whole + top / below if below else None
    value = numeral(text, decimal)
    return None if value is None or value > Decimal(10**12) else float(value)


@dataclass(frozen=True, slots=True)
class Length:
    """A length: its figure, and its unit as "ft" (inches turned into feet), "m", or "" if bare."""

    figure: float
    unit: str


def read_length(text: str, decimal: str) -> Length | None:
    r"""A length in feet, metres, or with no unit: "12'6\"", "5 ft 6 in", "3.2 m", "320 cm", "12".

    >>> read_length("12'6\"", ".")
    Length(figure=12.5, unit='ft')
    """
    walk = Walk(lex(tidy(text), decimal, SIZES))
    length = take_length(walk)
    return None if walk.kind() else length


def take_length(walk: Walk) -> Length | None:
    """The length at a place; None, and the walk stays there, if there is none."""
    before, feet, last = walk.at, 0.0, ""
    while (figure := _figure(walk)) is not None:
        unit = walk.kind()
        if unit not in _FEET_PER:
            if last == "ft" and figure < 12:
                # "5'6 x 8'": what follows feet is inches.
                return Length(feet + figure / 12, "ft")
            if last:
                break
            return Length(figure, "")
        if last and (last, unit) != ("ft", "inch"):
            break
        walk.take()
        _step(walk, ".")
        feet += figure * _FEET_PER[unit]
        last = unit
        follows = walk.kind(1 if walk.kind() == "-" else 0) in {"number", "fraction"}
        if unit != "ft" or not follows:
            return Length(feet, "ft") if unit in {"ft", "inch"} else Length(feet / FT_PER_M, "m")
        _step(walk, "-")
    walk.at = before
    return None


def _figure(walk: Walk) -> float | None:
    """The figure at a place; one with another decimal mark than its column's is none."""
    if walk.kind() not in {"number", "fraction"}:
        return None
    token = walk.tokens[walk.at]
    if token.value is None or token.mark or token.value > Decimal(10**12):
        return None
    walk.take()
    return float(token.value)


def _step(walk: Walk, kind: str) -> None:
    if walk.kind() == kind:
        walk.take()


def take_sides(walk: Walk) -> tuple[list[Length], str | None]:
    """The lengths at a place with a "x" between them, and the unit of area behind them, if any."""
    sides: list[Length] = []
    while (side := take_length(walk)) is not None:
        sides.append(side)
        if walk.kind() != "times":
            break
        walk.take()
    stated = walk.take().kind if sides and walk.kind() in {"sqft", "sqm"} else None
    while stated and walk.kind() == ".":
        walk.take()
    return sides, stated


def rectangle(one: Length, two: Length, bare_unit: str | None) -> float | None:
    """The area of a rectangle in square feet; None if a side has no unit and none is known.

    A side with no unit takes the other side's, else ``bare_unit`` ("sqft" or "sqm").
    """
    known = {"sqft": "ft", "sqm": "m"}.get(bare_unit or "", "")
    units = [one.unit or two.unit or known, two.unit or one.unit or known]
    if "" in units:
        return None
    if units == ["m", "m"]:
        return one.figure * two.figure * SQFT_PER_SQM
    feet = [
        side.figure * (FT_PER_M if unit == "m" else 1.0)
        for side, unit in zip((one, two), units, strict=True)
    ]
    return feet[0] * feet[1]
