"""The field of jobs by phases: sign and size are told by shape and filling, not by tone alone."""

import pytest

from costlearn.pages.matrix import GRADES, Cell, grade, matrix_chart


@pytest.mark.parametrize(
    ("ratio", "shape", "hollow"),
    [
        (2.0, "triangle", False),
        (1.31, "triangle", False),
        (1.29, "triangle", True),
        (1.11, "triangle", True),
        (1.1, "circle", True),
        (1.0, "circle", True),
        (1 / 1.1, "circle", True),
        (0.9, "down", True),
        (1 / 1.29, "down", True),
        (1 / 1.31, "down", False),
    ],
)
def test_classes_of_ratios(ratio, shape, hollow):
    found = grade(ratio)
    assert (found.shape, found.hollow) == (shape, hollow)


def test_no_two_classes_share_shape_and_filling():
    assert len({(g.shape, g.hollow) for g in GRADES}) == len(GRADES)


def test_classes_are_even_on_both_sides():
    """As far under as over on the scale of ratios: 1 / 1.3 is 23 % under."""
    for over, under in ((1.2, 1 / 1.2), (1.5, 1 / 1.5)):
        assert GRADES.index(grade(over)) + GRADES.index(grade(under)) == len(GRADES) - 1


def test_marks_stand_in_their_row_and_column_and_say_what_they_are():
    cells = [
        Cell(0, 0, 1.5, "a <b>"),
        Cell(1, 1, 1.0, "b"),
        Cell(1, 0, 0.5, "c", apart=True),
    ]
    drawn = matrix_chart(["Tile", "Demo"], ["2024", ""], cells, "jobs").to_plotly_json()
    at = {
        (t["x"][i], t["y"][i]): (t["marker"]["symbol"], t["text"][i])
        for t in drawn["data"]
        if t["marker"]["symbol"] != "line-ew"
        for i in range(len(t["x"]))
    }
    assert at == {
        (0, 0): ("triangle-up", "a &lt;b&gt;"),
        (1, 1): ("circle", "b"),
        (0, 1): ("triangle-down", "c"),
    }
    (strike,) = (t for t in drawn["data"] if t["marker"]["symbol"] == "line-ew")
    assert (strike["x"], strike["y"]) == ([0], [1])
    assert drawn["layout"]["xaxis"]["tickvals"] == [0], "an empty label is not written"
    assert drawn["layout"]["yaxis"]["range"] == [1.5, -0.5], "the first row on top"
