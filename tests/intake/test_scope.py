"""Scope in words and in cells of its own columns."""

from __future__ import annotations

import pytest

from costlearn.intake.scope import read_scope, read_scope_cell
from costlearn.units import SQFT_PER_SQM
from costlearn.vocabulary import standard

WORDS = standard()


@pytest.mark.parametrize(
    ("text", "items"),
    [
        (
            "niche; heated floor; wall tile 96 sf; 2 pot lights",
            {"niche": 1, "heated_floor": 1, "wall_tile": 96, "lighting": 2},
        ),
        ("No niche, wall tile: 96,5 sf\n2x bench", {"niche": 0, "wall_tile": 96.5, "bench": 2}),
        ("tile floor (42 sq ft) | pot lights x 4", {"floor_tile": 42, "lighting": 4}),
        ("niche x2; x3 pot lights; bench x 2", {"niche": 2, "lighting": 3, "bench": 2}),
        ("niche + bench and toilet", {"niche": 1, "bench": 1, "toilet": 1}),
        ("cabinet + sink", {"vanity": 1}),
        ("kitchen cabinets 3 m", {"kitchen_cabinets": 3 * 3.28084}),
        ("heated floor 4 m2", {"heated_floor": 4 * 10.7639}),
        ("", {}),
    ],
)
def test_words(text: str, items: dict[str, float]) -> None:
    reading = read_scope(text, WORDS)
    assert reading.items == pytest.approx(items)
    assert (reading.unknown, reading.slips) == ([], [])


ONE = {
    "full gut": "gut_demo",
    "new wall": "new_partition",
    "washer rough-in": "laundry_hookup",
    "stackable hookup": "laundry_hookup",
    "tub out": "tub_removal",
    "tub in": "tub_install",
    "tile surround": "wall_tile",
    "tile to ceiling": "wall_tile",
    "acrylic surround": "acrylic_surround",
    "double vanity": "vanity",
    '60" vanity': "vanity",
    "48 in vanity": "vanity",
    "quartz top": "countertop",
    "relocate drain": "move_drain",
    "new fan": "bath_fan",
    "pocket door": "door_window",
    "glass panel": "shower_glass",
    "12x24 porcelain floor tile": "floor_tile",
    "LVP": "vinyl_plank",
    "niche in hall": "niche",
    "nice big niche": "niche",
    "no curb": "curbless",
    "new window over the tub": "door_window",
    "douche sans seuil": "curbless",
    "nouveau bain": "tub_install",
    "céramique de douche": "wall_tile",
    "tuile au plancher": "floor_tile",
    "nouvelle vanité": "vanity",
    "raccord de laveuse": "laundry_hookup",
    "déplacer la toilette": "move_drain",
    "armoires du haut": "kitchen_cabinets",
    "câble chauffant": "heated_floor",
}


@pytest.mark.parametrize(("text", "item"), ONE.items())
def test_as_contractors_write_it(text: str, item: str) -> None:
    reading = read_scope(text, WORDS)
    assert reading.items == {item: 1}
    assert (reading.unknown, reading.slips) == ([], [])


@pytest.mark.parametrize(
    ("text", "items"),
    [
        ("walk-in shower", {"wall_tile": 1, "tiled_shower_floor": 1}),
        ("walk-in shower, shower base", {"wall_tile": 1, "shower_base": 1}),
        ("walk-in shower with bench", {"wall_tile": 1, "tiled_shower_floor": 1, "bench": 1}),
        ("tub swap", {"tub_removal": 1, "tub_install": 1}),
        ("island", {"kitchen_cabinets": 1, "countertop": 1}),
        ("uppers and lowers", {"kitchen_cabinets": 1}),
        ("sink, uppers x3", {"lav_sink": 1, "kitchen_cabinets": 1}),
        ("2 pots, sconce", {"lighting": 3}),
        ("96 sf wall tile, tile surround", {"wall_tile": 96}),
        ("tile surround, 96 sf wall tile", {"wall_tile": 96}),
        ("heated floor 35", {"heated_floor": 35}),
        ("new bath, shower base", {"shower_base": 1}),
        ("full gut; tub and tile surround. double vanity", {
            "gut_demo": 1, "tub_install": 1, "wall_tile": 1, "vanity": 1,
        }),
    ],
)  # fmt: skip
def test_several_items_of_a_wording_and_sizes(text: str, items: dict[str, float]) -> None:
    reading = read_scope(text, WORDS)
    assert reading.items == items
    assert reading.unknown == []


@pytest.mark.parametrize("text", ["nice", "in hall", "new bath", "hall laundry", "full reno", "x"])
def test_what_a_job_is_like_and_where_is_no_item_and_no_question(text: str) -> None:
    reading = read_scope(text, WORDS)
    assert (reading.items, reading.unknown) == ({}, [])


@pytest.mark.parametrize(
    "text",
    ["keep toilet", "reuse vanity", "paint store run", "shower curtain", "tile", "glass deposit"],
)
def test_what_may_not_be_the_item_is_not_taken(text: str) -> None:
    reading = read_scope(text, WORDS)
    assert reading.items == {}
    assert len(reading.unknown) == 1


def test_close_words_are_told_and_unknown_ones_asked() -> None:
    reading = read_scope("heatd floor; unicorn; niche", WORDS)
    assert reading.items == {"heated_floor": 1, "niche": 1}
    assert reading.slips == [("heatd floor", "heated floor")]
    assert [one.word for one in reading.unknown] == ["unicorn"]


def test_a_bare_size_is_in_the_firms_unit_and_told() -> None:
    reading = read_scope("wall tile 9", WORDS, area_unit="sqm")
    assert reading.items == pytest.approx({"wall_tile": 9 * 10.7639})
    assert reading.bare == ["wall tile"]


def test_a_size_in_a_unit_that_does_not_go_with_the_item_is_asked() -> None:
    reading = read_scope("toilet 3 sf", WORDS)
    assert reading.items == {"toilet": 1}
    assert reading.unknown


@pytest.mark.parametrize(
    ("raw", "unit", "size"),
    [
        ("yes", None, 1),
        ("x", None, 1),
        (True, None, 1),
        ("no", None, 0),
        (0, None, 0),
        ("96", None, 96),
        (96.5, "sqft", 96.5),
        ("96 sf", None, 96),
        ("9 m2", None, 9 * 10.7639),
        (9, "sqm", 9 * 10.7639),
    ],
)
def test_cells(raw: str | float, unit: str | None, size: float) -> None:
    reading = read_scope_cell(raw, WORDS.item("wall_tile"), unit=unit, area_unit="sqft")
    assert reading.value == pytest.approx(size)


@pytest.mark.parametrize("raw", ["some", "-3", "3 days"])
def test_cells_that_say_neither_size_nor_yes(raw: str) -> None:
    reading = read_scope_cell(raw, WORDS.item("wall_tile"), unit=None, area_unit="sqft")
    assert reading.value is None
    assert reading.problem


def test_what_is_said_to_be_new_is_the_item_itself() -> None:
    assert read_scope("new vanity; a new toilet; new tub; no new niche", standard()).items == {
        "vanity": 1.0,
        "toilet": 1.0,
        "tub_install": 1.0,
        "niche": 0.0,
    }


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("paint 1,250 sf", 1250.0),
        ("1,250 sf paint", 1250.0),
        ("paint 1,250", 1250.0),
        ("paint 9,5 sf", 9.5),
        ("paint 0,125 sf", 0.125),
        ("paint 1.250 sf", 1.25),
        ("paint 2,125 m2", 2.125 * SQFT_PER_SQM),
    ],
)
def test_a_comma_parts_thousands_only_where_it_can(text: str, size: float) -> None:
    assert read_scope(text, WORDS).items["paint"] == pytest.approx(size)
