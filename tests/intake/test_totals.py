"""Rows that sum up others are checked, and never taken for work of their own."""

from __future__ import annotations

from collections.abc import Callable

from costlearn.records import Batch, HoursEntry, PhaseEntry


def test_a_total_beside_its_jobs_name_is_checked_and_never_a_phase(
    read: Callable[..., Batch],
) -> None:
    batch = read(
        "Job,Phase,Planned $,Actual $\nMaple,Demo,1200,1350\nMaple,Tile,4100,4600\n"
        "Maple,Subtotal,5300,5900\nMaple,Average,2650,2975\nOak,Total,9000,9500\nElm,Total,700,\nElm,Demo,700,650\n"
    )
    found = [e for e in batch.entries if isinstance(e, PhaseEntry)]
    assert [(e.job, e.phase) for e in found] == [
        ("Maple", "demo"), ("Maple", "tile"), ("Oak", "unassigned"), ("Elm", "demo"),
    ]  # fmt: skip
    said = [f.text for f in batch.findings if f.kind == "checked"]
    assert said[0] == "'Subtotal' 5,300.00 agrees with the sum of the rows above"
    assert said[1] == "'Subtotal' says 5,900.00, the sum of the rows above is 5,950.00: 50.00 less"
    assert "'Average' 2,975.00 agrees with the average" in said[3]


def test_a_total_in_the_place_of_a_person_is_no_persons_work(read: Callable[..., Batch]) -> None:
    batch = read(
        "Job,Person,Date,Hours\nMaple,Ann,2025-03-04,8\nMaple,Bo,2025-03-04,6\n"
        "Maple,Total,2025-03-04,14\n"
    )
    assert [e.person for e in batch.entries if isinstance(e, HoursEntry)] == ["Ann", "Bo"]
