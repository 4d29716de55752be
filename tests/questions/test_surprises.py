"""Surprises named in notes, change orders and bills."""

from datetime import date

import pytest
from making import NOWHERE, change, job

from costlearn.questions.surprises import named_in, surprises
from costlearn.records import CostEntry, HoursEntry


@pytest.mark.parametrize(
    ("text", "named"),
    [
        ("Rot under the old tub", ("rot",)),
        ("joist was ROTTEN, mold behind the wall", ("rot", "mould")),
        ("no rot; mould found", ("mould",)),
        ("rotary hammer, grout", ()),
        ("galvanised lines to the sink", ("hidden_pipes",)),
        ("knob & tube in the ceiling", ("old_wiring",)),
        ("went without asbestos testing", ()),
        ("", ()),
        ("...", ()),
    ],
)
def test_words_as_people_write_them(text, named):
    assert named_in(text) == named


def test_jobs_costs_and_texts_are_gathered():
    jobs = [
        job("a1", notes="rot at the tub"),
        job("a2", changes=(change(label="Rotten subfloor", cost=40_000),)),
        job("a3", changes=(change("declined", label="mould in wall", cost=90_000),)),
        job("a4", notes="all went well"),
    ]
    bill = CostEntry("A1", "material", 12_550, NOWHERE, notes="plywood for rot")
    elsewhere = CostEntry("zz", "material", 99_900, NOWHERE, notes="rot")
    loose = CostEntry(None, "material", 99_900, NOWHERE, notes="rot")
    hours = HoursEntry("a4", "Sam", date(2024, 1, 2), 3.0, NOWHERE, notes="hidden leak in wall")
    rot, pipes, mould = surprises(jobs, [bill, elsewhere, loose, hours])
    assert (rot.key, rot.jobs, rot.cost) == ("rot", ("a1", "a2"), 525.5)
    assert rot.said == ("rot at the tub", "Rotten subfloor", "plywood for rot")
    assert (pipes.key, pipes.jobs, pipes.cost) == ("hidden_pipes", ("a4",), None)
    assert (mould.key, mould.cost) == ("mould", None), "found, but nothing was spent on it"


def test_nothing_said_is_nothing_found():
    assert surprises([job("a")]) == ()


def test_of_a_long_note_only_the_part_that_names_it_is_shown():
    note = "client chose tile; rot at the tub; " + "then waited " * 20
    assert surprises([job("a", notes=note)])[0].said == ("rot at the tub",)
    (long,) = surprises([job("a", notes="rot " + "and more " * 30)])[0].said
    assert len(long) <= 90
    assert long.endswith("...")
