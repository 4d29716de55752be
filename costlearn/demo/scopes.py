"""The invented scopes: what each style of job consists of, drawn within sensible sizes."""

from __future__ import annotations

from collections.abc import Callable

from costlearn.demo.truth import Dice, Scope

Items = dict[str, float]

CALENDAR: dict[int, str] = {
    2021: "powder tub conversion laundry tub ensuite tub",
    2022: "tub conversion kitchen powder tub ensuite laundry conversion",
    2023: "conversion tub ensuite powder refresh tub kitchen conversion",
    2024: "tub ensuite kitchen conversion laundry tub powder ensuite",
    2025: "conversion ensuite tub kitchen laundry conversion refresh ensuite",
    2026: "tub powder kitchen ensuite tub laundry conversion",
}
"""Styles of the finished jobs, in the order they were started."""

RUNNING = ("conversion", "laundry")
"""Styles of the two jobs still running."""

TITLES = {
    "powder": ("powder room", "half bath", "powder room off the hall"),
    "refresh": ("guest bath refresh", "basement bath refresh"),
    "tub": ("hall bath", "kids bath", "upstairs bath", "main bath", "guest bath"),
    "conversion": ("bath, tub to shower", "main bath, tub to shower", "hall bath, walk-in shower"),
    "ensuite": ("ensuite", "ensuite with bench", "large ensuite"),
    "laundry": ("laundry", "mudroom laundry", "laundry room"),
    "kitchen": ("kitchen", "galley kitchen", "small kitchen"),
}


def draw_scope(style: str, dice: Dice) -> Scope:
    """One scope of a style.

    Args:
        style: a key of :data:`TITLES`.
        dice: where the chance comes from.
    """
    area, items = STYLES[style](dice)
    kind = style if style in ("laundry", "kitchen") else "bathroom"
    grade = dice.pick(("basic", "middle", "middle", "high"))
    if style == "ensuite":
        grade = dice.pick(("middle", "high", "high"))
    house_year = dice.whole(1921, 2006)
    if "gut_demo" in items and house_year < 1975 and dice.chance(0.55):
        items["subfloor_repair"] = float(dice.whole(8, 32))
    return Scope(kind, dice.pick(TITLES[style]), area, grade, house_year, items)


def _basics(dice: Dice, area: float, sinks: int = 1) -> Items:
    """What nearly every bathroom has."""
    items: Items = {
        "toilet": 1.0,
        "vanity": 1.0,
        "lav_sink": float(sinks),
        "faucet": float(sinks),
        "mirror": float(sinks),
        "lighting": float(dice.whole(2, 3) + sinks - 1),
        "outlet": float(dice.whole(1, 2)),
        "accessories": float(dice.whole(2, 4)),
        "paint": float(round(area * 3.4)),
    }
    if dice.chance(0.92):
        items["bath_fan"] = 1.0
    return items


def _gut(dice: Dice, area: float) -> Items:
    items: Items = {
        "gut_demo": area,
        "insulation": float(round(area * dice.between(1.4, 2.0))),
        "drywall": float(round(area * dice.between(3.6, 4.6))),
    }
    if dice.chance(0.35):
        items["blocking"] = float(dice.whole(1, 3))
    if dice.chance(0.25):
        items["floor_leveling"] = area
    if dice.chance(0.18):
        items["door_window"] = 1.0
    return items


def _wet_walls(items: Items, wall: float, pan: float = 0.0) -> None:
    """Tile on wet walls always comes with a backer and a membrane here."""
    items["wall_tile"] = wall
    items["backer"] = wall + pan
    items["membrane"] = wall + pan
    if pan:
        items["tiled_shower_floor"] = pan


def _powder(dice: Dice) -> tuple[float, Items]:
    area = float(dice.whole(18, 30))
    items = {"part_demo": area, **_basics(dice, area)}
    if dice.chance(0.6):
        items["floor_tile"] = area - 3
    else:
        items["vinyl_plank"] = area - 3
    if dice.chance(0.5):
        items["mosaic"] = float(dice.whole(5, 12))
    items["accessories"] = 2.0
    return area, items


def _refresh(dice: Dice) -> tuple[float, Items]:
    area = float(dice.whole(36, 55))
    items = {"part_demo": area, **_basics(dice, area), "vinyl_plank": area - 12}
    items["shower_valve"] = 1.0
    _wet_walls(items, float(dice.whole(50, 64)))
    return area, items


def _tub(dice: Dice) -> tuple[float, Items]:
    area = float(dice.whole(38, 56))
    items = {**_gut(dice, area), **_basics(dice, area), "floor_tile": area - 15}
    items.update({"tub_removal": 1.0, "tub_install": 1.0, "shower_valve": 1.0})
    _wet_walls(items, float(dice.whole(58, 84)))
    if dice.chance(0.45):
        items["niche"] = 1.0
    if dice.chance(0.3):
        items["move_drain"] = 1.0
    if dice.chance(0.3):
        items["mosaic"] = float(dice.whole(4, 10))
    if dice.chance(0.2):
        items["repipe"] = float(dice.whole(2, 4))
    return area, items


def _conversion(dice: Dice) -> tuple[float, Items]:
    area = float(dice.whole(40, 62))
    items = {**_gut(dice, area), **_basics(dice, area), "floor_tile": area - 17}
    items.update({"tub_removal": 1.0, "tub_to_shower": 1.0, "shower_valve": 1.0})
    items["shower_glass"] = 1.0
    wall = float(dice.whole(74, 108))
    if dice.chance(0.7):
        _wet_walls(items, wall, float(dice.whole(12, 16)))
    else:
        _wet_walls(items, wall)
        items["shower_base"] = 1.0
    if dice.chance(0.75):
        items["niche"] = 1.0
    if dice.chance(0.25):
        items["bench"] = 1.0
    if dice.chance(0.35):
        items["heated_floor"] = area - 18
        items["new_circuit"] = 1.0
    if dice.chance(0.3):
        items["move_drain"] = 1.0
    return area, items


def _ensuite(dice: Dice) -> tuple[float, Items]:
    area = float(dice.whole(62, 104))
    items = {**_gut(dice, area), **_basics(dice, area, sinks=2), "floor_tile": area - 24}
    items["shower_valve"] = 1.0
    items["shower_glass"] = 1.0
    items["niche"] = 1.0
    _wet_walls(items, float(dice.whole(96, 150)), float(dice.whole(14, 20)))
    for key, odds in (("bench", 0.5), ("curbless", 0.4), ("freestanding_tub", 0.45)):
        if dice.chance(odds):
            items[key] = 1.0
    if dice.chance(0.7):
        items["heated_floor"] = area - 30
        items["new_circuit"] = 1.0
    if dice.chance(0.6):
        items["move_drain"] = float(dice.whole(1, 2))
    if dice.chance(0.5):
        items["countertop"] = float(dice.whole(9, 13))
    if dice.chance(0.25):
        items["new_partition"] = float(dice.whole(4, 8))
    return area, items


def _laundry(dice: Dice) -> tuple[float, Items]:
    area = float(dice.whole(38, 84))
    items: Items = {
        "part_demo": area,
        "laundry_hookup": 1.0,
        "lav_sink": 1.0,
        "faucet": 1.0,
        "lighting": float(dice.whole(1, 3)),
        "outlet": float(dice.whole(2, 3)),
        "paint": float(round(area * 3.2)),
        "kitchen_cabinets": float(dice.whole(4, 8)),
        "countertop": float(dice.whole(8, 14)),
    }
    items["floor_tile" if dice.chance(0.4) else "vinyl_plank"] = area - 6
    if dice.chance(0.4):
        items["new_circuit"] = 1.0
    if dice.chance(0.35):
        items["bath_fan"] = 1.0
    if dice.chance(0.3):
        items["move_drain"] = 1.0
    return area, items


def _kitchen(dice: Dice) -> tuple[float, Items]:
    area = float(dice.whole(96, 158))
    items: Items = {
        "part_demo": area,
        "kitchen_cabinets": float(dice.whole(17, 27)),
        "countertop": float(dice.whole(32, 52)),
        "backsplash": float(dice.whole(24, 40)),
        "lav_sink": 1.0,
        "faucet": 1.0,
        "lighting": float(dice.whole(5, 9)),
        "outlet": float(dice.whole(5, 8)),
        "new_circuit": float(dice.whole(2, 4)),
        "drywall": float(round(area * 2.2)),
        "paint": float(round(area * 3.0)),
    }
    items["floor_tile" if dice.chance(0.3) else "vinyl_plank"] = area - 22
    if dice.chance(0.4):
        items["wall_removal"] = float(dice.whole(6, 12))
    if dice.chance(0.5):
        items["move_drain"] = 1.0
    return area, items


STYLES: dict[str, Callable[[Dice], tuple[float, Items]]] = {
    "powder": _powder,
    "refresh": _refresh,
    "tub": _tub,
    "conversion": _conversion,
    "ensuite": _ensuite,
    "laundry": _laundry,
    "kitchen": _kitchen,
}
