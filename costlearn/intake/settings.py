"""The firm's settings from a TOML file with a ``[firm]`` part."""

from __future__ import annotations

from pathlib import Path

from costlearn.errors import InputProblem, Place
from costlearn.firm import Firm
from costlearn.intake.files.sheets import read_grids
from costlearn.intake.files.tomlfile import load_toml, shown
from costlearn.intake.values.cells import Raw, is_missing, read_number
from costlearn.intake.values.days import read_day


def read_settings(path: Path, firm: Firm | None = None) -> Firm:
    """The settings a file states, on top of those of ``firm`` (default: none are stated).

    Raises:
        UnreadableFile: no such file, or not TOML.
        InputProblem: no [firm] part, an unknown setting or a value that cannot be used.
    """
    raw = load_toml(path, "the settings file", expected="[firm] and lines such as day_rate = 480")
    place = Place(path.name)
    others = [key for key in raw if key != "firm"]
    if "firm" not in raw or not isinstance(raw["firm"], dict):
        found = ", ".join(f"'{k}'" for k in others[:6]) or shown(raw.get("firm", "nothing"))
        raise InputProblem(
            f"there is no [firm] part in it, only {found}",
            place=place,
            expected="[firm] and under it lines such as day_rate = 480",
        )
    if others:
        raise InputProblem(
            f"the part '{others[0]}' is unknown", place=place, expected="nothing but a [firm] part"
        )
    stated = dict(raw["firm"])
    for name in ("currency", "date_order"):
        if name in stated:
            stated.setdefault(f"{name}_said", True)
    named = stated.get("price_index")
    if isinstance(named, str):
        if not named.strip(" ./"):
            raise InputProblem(
                f"found {shown(named)}",
                place=Place(path.name, "", 0, "firm.price_index"),
                expected="dates with levels, or the name of a file that holds them",
            )
        stated["price_index"] = read_index(path.parent / named)
    return (firm or Firm()).changed(stated, place=place)


def read_index(path: Path) -> dict[str, float]:
    """A price index from a table of two columns, date and level, as typed in by the user.

    Dates are whole (2024-07-01) or months (2024-07); a heading row may stand on top.

    Raises:
        UnreadableFile: no such file, or not a table.
        InputProblem: a row that holds no date and level, or nothing but such rows.
    """
    found: dict[str, float] = {}
    for grid in read_grids(path):
        for number, row in enumerate(grid.rows, grid.first_row):
            cells = [c for c in row if not is_missing(c)]
            if not cells:
                continue
            day = read_day(_whole_month(cells[0]), order="month-first").value
            level = read_number(cells[1]).value if len(cells) > 1 else None
            if day is not None and level is not None and level > 0:
                found[day.isoformat()] = level
            elif found or number > grid.first_row:
                raise InputProblem(
                    f"found {', '.join(str(c) for c in cells)}",
                    place=Place(path.name, grid.sheet, number),
                    expected="a date and the level of the index, such as 2024-07-01, 104.2",
                )
    if not found:
        raise InputProblem(
            "there is no price index in it",
            place=Place(path.name),
            expected="two columns, date and level",
        )
    return found


def _whole_month(cell: Raw) -> Raw:
    """A month as its first day; anything else as it stands."""
    text = cell.strip() if isinstance(cell, str) else ""
    return f"{text}-01" if len(text) == 7 and text[4:5] == "-" else cell
