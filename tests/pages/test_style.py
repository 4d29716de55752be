"""The look keeps its promises: readable in light and dark, told apart with any colour vision."""

import re
from itertools import combinations, pairwise

import numpy as np
import pytest
from colour import SIGHTS, apart, contrast, lab
from page_reading import Page

from costlearn.pages.shell import Sheet, render
from costlearn.pages.style import (
    CHART_SIZES,
    DATA_TONES,
    GAPS,
    SIZES,
    TEXT_TONES,
    TONES,
    WIDTHS,
)
from costlearn.questions.answer import Answer, Grounds

SIDES = pytest.mark.parametrize("side", [0, 1], ids=["light", "dark"])


def test_contrast_of_black_on_white():
    """21 to 1, the most there is (WCAG 2.2, definition of contrast ratio)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


def test_colours_where_they_are_known():
    """L*a*b* of the sRGB primaries under D65 (values of the sRGB primaries, from memory)."""
    assert lab("#ffffff") == pytest.approx([100, 0, 0], abs=0.01)
    assert lab("#ff0000") == pytest.approx([53.24, 80.09, 67.20], abs=0.05)
    assert lab("#00ff00") == pytest.approx([87.73, -86.18, 83.18], abs=0.05)
    assert lab("#0000ff") == pytest.approx([32.30, 79.19, -107.86], abs=0.05)


@pytest.mark.parametrize("sight", SIGHTS)
def test_every_eye_sees_greys_alike(sight):
    """Rows of a deficiency's matrix sum to 1, so that white and grey stay as they are."""
    assert SIGHTS[sight].sum(axis=1) == pytest.approx(np.ones(3), abs=2e-6)


def test_red_and_green_meet_where_one_cone_is_missing():
    """The well-known confusion: a red and a green far apart to most eyes, near without green."""
    red, green = "#c05040", "#7f7a1e"
    assert apart(red, green) > 45
    assert apart(red, green, "no green cones") < 16


@SIDES
def test_words_and_marks_stand_out_from_the_page(side):
    """Words 4.5 to 1 (WCAG 2.2, 1.4.3), marks and bands 3 to 1 (1.4.11)."""
    paper = TONES["paper"][side]
    assert {n for n in TEXT_TONES if contrast(TONES[n][side], paper) >= 4.5} == set(TEXT_TONES)
    assert {n for n in DATA_TONES if contrast(TONES[n][side], paper) >= 3} == set(DATA_TONES)


def test_words_and_marks_stand_out_on_white_paper():
    for name in TEXT_TONES:
        assert contrast(TONES[name][0], "#ffffff") >= 4.5, name
    for name in DATA_TONES:
        assert contrast(TONES[name][0], "#ffffff") >= 3, name


@SIDES
@pytest.mark.parametrize("sight", SIGHTS)
def test_data_colours_are_told_apart(sight, side):
    """Any two are 20 or more apart, ten times what can just be told (ISO/CIE 11664-4)."""
    near = {
        (a, b): round(d, 1)
        for a, b in combinations(DATA_TONES, 2)
        if (d := apart(TONES[a][side], TONES[b][side], sight)) < 20
    }
    assert near == {}


def test_colours_are_written_once_and_have_one_dark_twin_each():
    """The page swaps by the light value, so two tones must never share one."""
    assert len({light for light, _ in TONES.values()}) == len(TONES)
    assert all(re.fullmatch("#[0-9a-f]{6}", c) for pair in TONES.values() for c in pair)


def test_sizes_and_distances_are_steps_of_a_scale():
    assert min(SIZES.values()) * 16 >= 15
    assert min(CHART_SIZES.values()) >= 11
    assert all(1.4 <= b / a <= 2.1 for a, b in pairwise(GAPS.values()))
    # Some 2.2 letters a rem: 65 to 90 letters a line (common practice, no source).
    assert 30 <= WIDTHS["words"] <= 41


def test_a_page_takes_its_look_from_here_alone():
    text = render(Answer("Yes.", Grounds(1)), Sheet("What?"), "T")
    sheet = Page(text).of("style")[0]
    for name, (light, dark) in TONES.items():
        assert f"--{name}: {light};" in sheet
        assert f"--{name}: {dark};" in sheet
    colours = set(re.findall(r"#[0-9a-fA-F]{3,8}\b", sheet))
    assert colours == {c for pair in TONES.values() for c in pair} | {"#ffffff"}
    asked = set(re.findall(r"var\(--([\w-]+)\)", sheet))
    given = set(re.findall(r"--([\w-]+):", sheet))
    assert asked <= given
