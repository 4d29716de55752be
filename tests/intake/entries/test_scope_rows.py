"""Scope in words: asked where several jobs, or a whole job, hang on a word; else kept in notes."""

from __future__ import annotations

from collections.abc import Callable

from dirt.reading import of, texts

from costlearn.records import Batch, JobEntry

Read = Callable[..., Batch]


def keys(batch: Batch) -> dict[str, str]:
    return {one.key: one.holds for one in batch.questions}


def test_a_word_of_one_job_among_known_ones_stays_in_its_notes(read: Read) -> None:
    text = 'Job,Cost,Scope\nA bath,100,"niche, flurb"\nB bath,200,"tub, blim; nice people"\n'
    batch = read(text)
    assert keys(batch) == {}
    a, b = of(batch, JobEntry)
    assert (a.scope, a.notes) == ({"niche": 1}, "flurb")
    assert (b.scope, b.notes) == ({"tub_install": 1}, "blim; nice people")
    (said,) = [t for t in texts(batch, "understood") if "remarks in the scope" in t]
    assert said.endswith("'flurb', 'blim', 'nice people'")


def test_a_word_of_two_jobs_is_asked_once(read: Read) -> None:
    text = 'Job,Cost,Scope\nA bath,100,"niche, flurb"\nB bath,200,"tub, flurb"\n'
    batch = read(text)
    assert keys(batch) == {"scope: flurb": "2 jobs with an item that is left out"}
    (asked,) = batch.questions
    assert asked.samples == ("niche, flurb", "tub, flurb")
    assert asked.choices[-1] == "none (leave it out)"


def test_a_word_that_is_all_the_scope_of_a_job_is_asked(read: Read) -> None:
    batch = read('Job,Cost,Scope\nA bath,100,"niche"\nB bath,200,"flurb"\n')
    assert list(keys(batch)) == ["scope: flurb"]


def test_prose_is_notes_and_no_questions(read: Read) -> None:
    rows = "\n".join(
        f'J{n} bath,{n}00,"client number {n} was away, came back {n} times, wanted it {n}th"'
        for n in range(1, 15)
    )
    batch = read(f"Job,Cost,Description\n{rows}\n")
    assert keys(batch) == {}
    assert all(entry.notes for entry in of(batch, JobEntry))


def test_a_scope_of_bathrooms_alone_says_the_kind_once(read: Read) -> None:
    text = (
        'Job,Cost,Scope\nMaple,100,"toilet, vanity"\nOak,200,"tub, niche"\n'
        'Elm,300,"toilet, washer hookup"\nAsh,400,"drywall, paint"\n'
    )
    batch = read(text)
    assert [e.kind for e in of(batch, JobEntry)] == ["bathroom", "bathroom", None, None]
    assert sum("items of its scope" in t for t in texts(batch, "understood")) == 1
    assert batch.questions == ()


def test_a_kind_plain_in_the_name_is_not_asked(read: Read) -> None:
    batch = read("Job,Type,Cost\nMaple hall bath,small,100\nOak,small,200\n")
    assert [e.kind for e in of(batch, JobEntry)] == ["bathroom", None]
    (asked,) = batch.questions
    assert (asked.key, asked.holds) == ("kind of job: small", "1 job without a kind")
