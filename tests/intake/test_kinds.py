"""The kind of a job in free words: one kind, or an honest question."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from costlearn.intake.kinds import kind_in_name, read_kind
from costlearn.records import Batch, JobEntry
from costlearn.vocabulary import standard

WORDS = standard()


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("bathroom", "bathroom"),
        ("Hall bath reno", "bathroom"),
        ("Salle de bain", "bathroom"),
        ("RES-ALT BASEMENT BTH", "bathroom"),
        ("finish basement", "basement"),
        ("deck repairs", "deck"),
        ("garage demo", "demolition"),
        ("new dwelling & shed", "new_building"),
        ("sewer repair", "plumbing"),
        ("Rénovation", "alteration"),
        ("RESALTERATION", "alteration"),
        ("kichen", "kitchen"),
        ("fence", "other"),
    ],
)
def test_one_kind(text: str, kind: str) -> None:
    assert read_kind(text, WORDS).kind == kind


@pytest.mark.parametrize(
    ("text", "may_be"),
    [
        ("garage addition", ("addition", "garage")),
        ("bathroom and kitchen", ("bathroom", "kitchen")),
        ("plumbing, mechanical", ("mechanical", "plumbing")),
        ("storage", ()),
        ("", ()),
    ],
)
def test_two_kinds_or_none_are_asked(text: str, may_be: tuple[str, ...]) -> None:
    reading = read_kind(text, WORDS)
    assert reading.kind is None
    assert reading.may_be == may_be


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("J-07 hall bath", "bathroom"),
        ("12 Garage Lane, kitchen", "kitchen"),
        ("Bath addition Maple", "bathroom"),
        ("Bath + laundry", None),
        ("J-08 Maple", None),
        ("J-09 Maple deck", "deck"),
    ],
)
def test_a_room_in_a_name_comes_before_all_else(name: str, kind: str | None) -> None:
    assert kind_in_name(name, WORDS) == kind


def test_a_kind_nobody_can_tell_is_asked_and_the_job_is_kept(read: Callable[..., Batch]) -> None:
    batch = read("Job,Type,Cost\nJ-1,RES-REMODEL BATH,100\nJ-2,garage addition,200\n")
    jobs = [e for e in batch.entries if isinstance(e, JobEntry)]
    assert [(j.kind, j.actual.cost) for j in jobs] == [("bathroom", 10_000), (None, 20_000)]
    asked = [f for f in batch.findings if f.kind == "asked"]
    assert [f.raw for f in asked] == ["garage addition"]


def test_a_close_spelling_of_a_kind_is_taken_and_told(read: Callable[..., Batch]) -> None:
    batch = read("Job,Type,Cost\nJ-1,RES-KICHEN,100\n")
    assert [e.kind for e in batch.entries if isinstance(e, JobEntry)] == ["kitchen"]
    (slip,) = [f for f in batch.findings if f.slip]
    assert (slip.kind, slip.text) == (
        "understood",
        "'RES-KICHEN' read as kitchen (row 2), one letter apart",
    )
