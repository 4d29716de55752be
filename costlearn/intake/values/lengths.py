"""How people write a length or an area: feet and inches, metres, square feet, "12 x 5"."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from costlearn.intake.values.numerals import numeral
from costlearn.units import FT_PER_M, SQFT_PER_SQM

_SQFT = re.compile(
    r"(?:s\.? ?f\.?|sq\.? ?(?:ft|feet|foot)\.?|square (?:feet|foot|ft)|(?:ft|pi)\.?[ ^]?2"
    r"|pi\.? ?ca(?:r(?:r[eé]s?)?)?\.?|pieds? carr[eé]s?)",
    re.IGNORECASE,
)
_SQM = re.compile(
    r"(?:m[ ^]?2|sq\.? ?m(?:et(?:er|re)s?)?\.?|square met(?:er|re)s?|m[eè]tres? carr[eé]s?)",
    re.IGNORECASE,
)
_TRAILING = re.compile(r"(?<=[0-9.'\"]) ?([a-zé][a-zé.^ ]*2?)$", re.IGNORECASE)

_FEET_PER = {"ft": 1.0, "in": 1 / 12, "m": FT_PER_M, "cm": FT_PER_M / 100, "mm": FT_PER_M / 1000}
_UNIT_WORDS = {
    **dict.fromkeys(("'", "ft", "ft.", "feet", "foot", "pi", "pied", "pieds"), "ft"),
    **dict.fromkeys(('"', "in", "in.", "inch", "inches", "po", "pouce", "pouces"), "in"),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters", "mètre", "mètres"), "m"),
    "cm": "cm",
    "mm": "mm",
}
_NUMBER = r"[0-9.,]*[0-9](?: [0-9]+/[0-9]+)?|[0-9]+/[0-9]+"
_PART = re.compile(
    rf"({_NUMBER}) ?(?:('|\")|(ft\.?|feet|foot|pieds?|pi|inch(?:es)?|in\.?|pouces?|po"
    rf"|mm|cm|m[eèé]tres?|meters?|m)(?![a-z0-9]))[- ]?",
    re.IGNORECASE,
)


def area_unit(text: str) -> str | None:
    """The unit of area a word means, "sqft" or "sqm", or None.

    >>> area_unit("sq. ft."), area_unit("m2"), area_unit("lf")
    ('sqft', 'sqm', None)
    """
    if text.lower() in {"sqft", "sqm"}:
        return text.lower()
    if _SQFT.fullmatch(text):
        return "sqft"
    return "sqm" if _SQM.fullmatch(text) else None


def split_unit(text: str) -> tuple[str, str]:
    """Part a text into what stands before its last words, and those words ("" if none)."""
    match = _TRAILING.search(text)
    return (text[: match.start()].strip(), match.group(1).strip()) if match else (text, "")


def unit_for_bare_areas(raws: Iterable[object]) -> str | None:
    """The one unit that some cells state, for those that state none.

    None if every cell states its unit, none does, or the stated ones differ.

    >>> unit_for_bare_areas(["60 sq ft", 45, "22 sf"]), unit_for_bare_areas(["60 sq ft", "5 m2", 4])
    ('sqft', None)
    """
    units = [area_unit(split_unit(str(raw).strip())[1]) for raw in raws if raw not in (None, "")]
    stated = {unit for unit in units if unit}
    return stated.pop() if len(stated) == 1 and None in units else None


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
    bare = quantity(text, decimal)
    if bare is not None:
        return Length(bare, "")
    feet, position, units = 0.0, 0, []
    text = re.sub(r"(?<=')( ?[0-9]{1,2}(?:\.[0-9]+)?)$", r'\1"', text.replace("''", '"'))
    while position < len(text):
        match = _PART.match(text, position)
        figure = quantity(match.group(1), decimal) if match else None
        if match is None or figure is None:
            return None
        unit = _UNIT_WORDS.get((match.group(2) or match.group(3)).lower(), "m")
        feet += figure * _FEET_PER[unit]
        units.append(unit)
        position = match.end()
    if units not in (["ft"], ["in"], ["ft", "in"], ["m"], ["cm"], ["mm"]):
        return None
    return Length(feet, "ft") if units[0] in {"ft", "in"} else Length(feet / FT_PER_M, "m")


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
