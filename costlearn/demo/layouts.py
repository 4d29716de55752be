"""How the firm's yearly job lists are laid out: headings, words, dates, money, and odd cells."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date

WITH_SIZE = ("wall_tile", "move_drain", "lighting")
"""Items whose size is always written, since price depends on it."""

MEASURED = ("floor_tile", "mosaic", "backsplash", "kitchen_cabinets", "countertop", "vinyl_plank")

BASIC_ITEMS: dict[str, str] = {
    "gut_demo": "Full gut",
    "part_demo": "Partial demo",
    "tub_removal": "Tub out",
    "niche": "Niche",
    "bench": "Bench",
    "curbless": "Curbless",
    "tub_install": "New tub",
    "freestanding_tub": "Freestanding tub",
    "shower_base": "Shower base",
    "tiled_shower_floor": "Mud pan",
    "tub_to_shower": "Tub to shower",
    "shower_valve": "Shower valve",
    "move_drain": "Moved drain (no.)",
    "toilet": "Toilet",
    "vanity": "Vanity",
    "shower_glass": "Glass door",
    "wall_tile": "Wall tile (sf)",
    "floor_tile": "Floor tile",
    "mosaic": "Accent tile",
    "membrane": "Membrane",
    "backer": "Cement board",
    "heated_floor": "Heated floor",
    "bath_fan": "Bath fan",
    "lighting": "Lights (no.)",
    "new_circuit": "New circuit",
    "paint": "Painting",
    "laundry_hookup": "Laundry hook-up",
    "kitchen_cabinets": "Kitchen cabinets",
    "countertop": "Countertop",
    "backsplash": "Backsplash",
    "vinyl_plank": "LVP",
}
"""Scope columns of the early years; what they leave out, nobody wrote down."""

MORE_ITEMS: dict[str, str] = {
    "subfloor_repair": "Subfloor repair",
    "floor_leveling": "Floor leveling",
    "blocking": "Blocking",
    "new_partition": "New partition",
    "wall_removal": "Wall removal",
    "door_window": "Door or window",
    "repipe": "Repipe",
    "lav_sink": "Sink",
    "faucet": "Faucet",
    "mirror": "Mirror",
    "accessories": "Accessories",
    "outlet": "Outlets",
    "insulation": "Insulation",
    "drywall": "Drywall",
}

FREE_WORDS: dict[str, str] = {
    "gut_demo": "full gut",
    "part_demo": "partial demo",
    "tub_removal": "cast iron tub out",
    "tub_install": "alcove tub",
    "freestanding_tub": "soaker tub",
    "wall_tile": "tile walls",
    "floor_tile": "porcelain floor",
    "mosaic": "penny round",
    "membrane": "sheet membrane",
    "backer": "CBU",
    "tiled_shower_floor": "mud pan",
    "tub_to_shower": "T2S",
    "shower_glass": "frameless",
    "bath_fan": "exhaust fan",
    "lighting": "pot lights",
    "outlet": "GFCI",
    "vinyl_plank": "LVP",
    "kitchen_cabinets": "kitchen cabs",
}

ITEM_UNITS = {"wall_tile": " sf", "floor_tile": " sf", "mosaic": " sf", "backsplash": " sf"}

MONTHS = "JanFebMarAprMayJunJulAugSepOctNovDec"

REMARKS = (
    "",
    "",
    "",
    "client picked the tile late",
    "parking on the street only",
    "old cast iron stack, went slowly",
    "neat job, photos taken",
    "plaster and lath behind the tile",
    "second floor, no lift",
)
ACCENTED = ("½ day lost to a jammed valve", "paint: crème, two coats", "corner out by 3°")

TYPED: dict[tuple[str, str], str] = {
    ("B21-05", "cost"): "TBD",
    ("B22-04", "plan_cost"): "",
    ("B22-05", "house_year"): "?",
    ("B23-05", "plan_days"): "n/a",
    ("B24-07", "price"): "allow 8400",
    ("K24-03", "finished"): "",
    ("B25-07", "grade"): "-",
}
"""What stands in a cell instead of its figure: nothing usable."""

IN_FEET = ("B24-01",)
IN_METRES = ("B23-03", "B23-06")
TWICE = "B23-04"
"""The job whose row stands twice in its list."""


@dataclass(frozen=True)
class Layout:
    """How one year's job list is laid out."""

    columns: tuple[tuple[str, str], ...]
    scope: Mapping[str, str]
    titles: tuple[str, ...] = ()
    delimiter: str = ","
    encoding: str = "utf-8"
    line_end: str = "\n"
    day: Callable[[date], str] = date.isoformat
    money: Callable[[int], str] = lambda cents: f"{cents / 100:.2f}"
    area: str = "{:.0f}"
    yes: tuple[str, ...] = ("yes",)
    kinds: Mapping[str, str] = field(default_factory=dict)
    remarks: tuple[str, ...] = REMARKS
    total: str = ""
    heading_again: int = 0
    spacer: bool = False


def us_day(day: date) -> str:
    """A date as 3/24/2021."""
    return f"{day.month}/{day.day}/{day.year}"


def dollars(cents: int) -> str:
    """An amount as $13,484."""
    return f"${cents / 100:,.0f}"


def exact_dollars(cents: int) -> str:
    """An amount as $13,484.25."""
    return f"${cents / 100:,.2f}"


def text_month(day: date) -> str:
    """A date as 24-Mar-21, whatever the language of the machine."""
    return f"{day.day}-{MONTHS[3 * day.month - 3 : 3 * day.month]}-{day.year % 100}"


_TIMES_SOLO = (("Planned days", "plan_site"), ("Days on site", "site_days"), ("Crew", "crew"))

LAYOUTS: dict[int, Layout] = {
    2021: Layout(
        titles=("Tern & Tallow - finished work 2021", "prices before tax, costs as billed", ""),
        columns=(
            ("Job", "job"),
            ("Type", "kind"),
            ("Floor area", "area"),
            ("Built", "house_year"),
            ("Finish level", "grade"),
            ("Quoted price", "price"),
            ("Est. cost", "plan_cost"),
            *_TIMES_SOLO,
            ("Actual cost", "cost"),
            ("Start", "started"),
            ("Finish", "finished"),
            ("Notes", "notes"),
        ),
        scope=BASIC_ITEMS,
        encoding="utf-8-sig",
        line_end="\r\n",
        day=us_day,
        money=dollars,
        area="{:.0f} sf",
        total="TOTAL",
    ),
    2022: Layout(
        columns=(
            ("Project", "job"),
            ("Room", "kind"),
            ("Size (sf)", "area"),
            ("Year built", "house_year"),
            ("Grade", "grade"),
            ("Contract price", "price"),
            ("Planned cost", "plan_cost"),
            ("Planned man-days", "plan_days"),
            ("Actual cost", "cost"),
            ("Actual man-days", "person_days"),
            ("Crew", "crew"),
            ("Started", "started"),
            ("Completed", "finished"),
            ("Remarks", "notes"),
        ),
        scope=BASIC_ITEMS,
        delimiter=";",
        encoding="latin-1",
        day=lambda d: f"{d.day:02d}/{d.month:02d}/{d.year}",
        yes=("x",),
        remarks=(*REMARKS[2:], *ACCENTED, *ACCENTED),
        total="Total",
        spacer=True,
    ),
    2023: Layout(
        titles=("Jobs 2023", ""),
        columns=(
            ("Job name", "job"),
            ("Floor area (sf)", "area"),
            ("House year", "house_year"),
            ("Quality", "grade"),
            ("Quote", "price"),
            ("Budget cost", "plan_cost"),
            ("Budget man-days", "plan_days"),
            ("Actual cost", "cost"),
            ("Start date", "started"),
            ("End date", "finished"),
            ("Scope of work", "scope"),
            ("Comments", "notes"),
        ),
        scope={},
        delimiter="\t",
        day=text_month,
        money=lambda cents: f"{cents / 100:,.2f} USD",
        heading_again=4,
    ),
    2024: Layout(
        columns=(
            ("Job", "job"),
            ("Room type", "kind"),
            ("Sq ft", "area"),
            ("Built", "house_year"),
            ("Level", "grade"),
            ("Price", "price"),
            ("Planned cost", "plan_cost"),
            ("Planned person-days", "plan_days"),
            ("Planned elapsed days", "plan_elapsed"),
            ("Actual cost", "cost"),
            ("Actual person-days", "person_days"),
            ("Actual site days", "site_days"),
            ("Started", "started"),
            ("Finished", "finished"),
            ("Notes", "notes"),
        ),
        scope={**BASIC_ITEMS, **MORE_ITEMS},
        money=exact_dollars,
        yes=("Y", "y", "yes"),
        kinds={"bathroom": "Bath", "laundry": "Laundry room", "kitchen": "Kitchen"},
        remarks=(*REMARKS[2:], "two visits by the inspector,\nsecond one passed"),
        spacer=True,
        total="Total",
    ),
    2025: Layout(
        titles=("Tern & Tallow, jobs of 2025", ""),
        columns=(
            ("Job", "job"),
            ("Kind", "kind"),
            ("Area (sq ft)", "area"),
            ("House year", "house_year"),
            ("Grade", "grade"),
            ("Quoted price (USD)", "price"),
            ("Paid (USD)", "paid"),
            ("Planned cost (USD)", "plan_cost"),
            ("Planned person-days", "plan_days"),
            ("Planned elapsed days", "plan_elapsed"),
            ("Actual cost (USD)", "cost"),
            ("Actual person-days", "person_days"),
            ("Actual site days", "site_days"),
            ("Wait days", "wait_days"),
            ("Start date", "started"),
            ("Finish date", "finished"),
            ("Remarks", "notes"),
        ),
        scope={**BASIC_ITEMS, **MORE_ITEMS},
        day=us_day,
        total="TOTAL",
    ),
    2026: Layout(
        columns=(
            ("Job", "job"),
            ("Kind", "kind"),
            ("Status", "state"),
            ("Area", "area"),
            ("House year", "house_year"),
            ("Grade", "grade"),
            ("Quote date", "quoted_on"),
            ("Quoted price", "price"),
            ("Planned cost", "plan_cost"),
            ("Planned person-days", "plan_days"),
            ("Planned elapsed days", "plan_elapsed"),
            ("Actual cost", "cost"),
            ("Actual person-days", "person_days"),
            ("Actual site days", "site_days"),
            ("Wait days", "wait_days"),
            ("Started", "started"),
            ("Finished", "finished"),
            ("Books closed", "books"),
            ("Notes", "notes"),
        ),
        scope={**BASIC_ITEMS, **MORE_ITEMS},
        day=us_day,
        money=exact_dollars,
        area="{:.0f} sf",
    ),
}
