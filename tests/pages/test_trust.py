"""The page of trust draws what the answer holds: each job's range, the fall, each thing's worth."""

from dataclasses import replace
from datetime import date, timedelta

import page_making as making
import pytest
from page_reading import Page

from costlearn.models.scoring import Narrowing, coverage
from costlearn.pages.trust import MOST_DRAWN, ON_ONE_SHEET, sheet
from costlearn.pages.write import page_html
from costlearn.questions.answer import Grounds
from costlearn.questions.records_worth import FieldWorth
from costlearn.questions.trust import Method, TargetTrust, Tried, Trust

FIRST = date(2023, 1, 15)
ADVICE = "What would help most: write down the crew size of each job (4 of 8 do not say it)."


def tried(
    count: int, missed: tuple[int, ...] = (), names: tuple[str, ...] = ()
) -> tuple[Tried, ...]:
    """Jobs a month apart, each of 10 000 foretold as 8 000 to 12 500; the missed from 11 000 up."""
    return tuple(
        Tried(
            names[i] if i < len(names) else f"J-{i:03d}",
            FIRST + timedelta(days=30 * i),
            i + 3,
            11_000.0 if i in missed else 8_000.0,
            12_000.0 if i in missed else 10_000.0,
            14_000.0 if i in missed else 12_500.0,
            10_000.0,
            None,
        )
        for i in range(count)
    )


def target(jobs: tuple[Tried, ...], name: str = "cost", **parts: object) -> TargetTrust:
    held = coverage([t.held for t in jobs], 0.8)
    own = Method("costlearn", len(jobs), 0.09, 0.0, 0.6, held)
    return replace(TargetTrust(name, jobs, (held,), (own,), None, ()), **parts)


def answer(*targets: TargetTrust, currency: str = "USD") -> Trust:
    count = len(targets[0].tried)
    grounds = Grounds(count, FIRST, targets[0].tried[-1].day, currency)
    return Trust("The ranges held.", grounds, targets, None)


def rows_of(picture):
    return picture.figure.layout.yaxis.ticktext


def traces(picture, mode):
    return [d for d in picture.figure.data if d.mode == mode]


def test_ranges_stand_against_what_each_job_came_to():
    picture = sheet(answer(target(tried(5, missed=(3,))))).pictures[0]
    held, missed = traces(picture, "lines")
    assert list(held.x[:3]) == pytest.approx([0.8, 1.25, None])
    assert list(missed.x) == pytest.approx([1.1, 1.4, None])
    assert list(missed.y[:2]) == [3, 3]
    assert picture.figure.layout.xaxis.type == "log"
    assert set(picture.figure.layout.xaxis.ticktext) >= {"0 %"}
    (line,) = picture.figure.layout.shapes
    assert (line.x0, line.x1) == (1.0, 1.0)


def test_held_and_missed_differ_by_shape_and_width_not_tone_alone():
    picture = sheet(answer(target(tried(5, missed=(3,))))).pictures[0]
    circle, diamond = traces(picture, "markers")
    assert (circle.marker.symbol, diamond.marker.symbol) == ("circle", "diamond")
    assert (len(circle.x), list(diamond.y)) == (4, [3])
    held, missed = traces(picture, "lines")
    assert held.line.width >= 2 * missed.line.width
    assert [k.shape for k in picture.key] == ["circle", "diamond", "middling"]
    assert "thin line" in picture.key[-1].text


def test_no_key_of_a_miss_where_none_missed():
    picture = sheet(answer(target(tried(5)))).pictures[0]
    assert [k.shape for k in picture.key] == ["circle", "middling"]
    assert "missed" not in " ".join(k.text for k in picture.key)


def test_jobs_stand_in_time_order_with_date_and_jobs_known():
    picture = sheet(answer(target(tried(5)))).pictures[0]
    assert rows_of(picture)[0].startswith("J-000<br>")
    assert "Jan 2023, 3 jobs" in rows_of(picture)[0]
    assert "May 2023, 7 jobs" in rows_of(picture)[-1]


def test_the_table_beside_says_the_same_as_the_marks():
    picture = sheet(answer(target(tried(5, missed=(3,))))).pictures[0]
    first, miss = picture.numbers.rows[0], picture.numbers.rows[3]
    assert first == ("J-000", "Jan 2023", "3", "-20 % to +25 %", "+0 %", "$10,000", "yes")
    assert miss[3:] == ("+10 % to +40 %", "+20 %", "$10,000", "no")


def test_days_are_said_in_days():
    jobs = tuple(replace(t, low=8.0, median=10.0, high=12.0, actual=10.0) for t in tried(5))
    picture = sheet(answer(target(jobs, "person_days"))).pictures[0]
    assert "days, against" in picture.caption
    assert picture.numbers.rows[0][5] == "10 days"


@pytest.mark.parametrize(("count", "parts"), [(24, 1), (25, 2), (45, 2), (MOST_DRAWN, 3)])
def test_many_jobs_are_shared_out_over_sheets_on_one_axis(count, parts):
    jobs = tried(count, missed=(0,))
    pictures = sheet(answer(target(jobs))).pictures[:-1]
    assert len(pictures) == parts
    drawn = [row[0] for p in pictures for row in p.numbers.rows]
    assert drawn == [t.job for t in jobs]
    assert max(len(p.numbers.rows) for p in pictures) <= ON_ONE_SHEET
    assert len({p.figure.layout.xaxis.range for p in pictures}) == 1
    assert len({p.title for p in pictures}) == parts
    # Thin rows: 45 jobs in two pictures of less than 900 pixels each.
    assert all(p.figure.layout.height < 900 for p in pictures)


def test_of_very_many_jobs_the_newest_are_drawn_and_that_is_said():
    pictures = sheet(answer(target(tried(150)))).pictures[:-1]
    drawn = [row[0] for p in pictures for row in p.numbers.rows]
    assert (drawn[0], drawn[-1], len(drawn)) == ("J-078", "J-149", MOST_DRAWN)
    for picture in pictures:
        assert picture.caption.startswith("24 of 150 past jobs")
        assert "older ones stand in the table further down" in picture.caption


def test_long_and_evil_names_are_short_text_beside_and_whole_in_the_table():
    given = answer(target(tried(5, names=(making.LONG, making.EVIL))))
    picture = sheet(given).pictures[0]
    long, evil = rows_of(picture)[:2]
    assert long.startswith("Mezzanine-and-Me…<br>")
    assert evil.startswith('Ø bath "&lt;script&gt;')
    assert [r[0] for r in picture.numbers.rows[:2]] == [making.LONG, making.EVIL]
    page = Page(page_html(given))
    assert making.EVIL in page.of("th")
    assert page.of("b") == []


def test_the_fall_is_drawn_as_fitted_with_its_guide():
    jobs = tried(5, missed=(3,))
    given = answer(target(jobs, narrowing=Narrowing(0.1, 0.6)))
    picture = sheet(given).pictures[-1]
    (line,) = traces(picture, "lines")
    # 0.1 + 0.6 / n for n = 3 to 7.
    assert list(line.x) == [3, 4, 5, 6, 7]
    assert line.y[0] == pytest.approx(0.3)
    assert line.y[2] == pytest.approx(0.22)
    circle, diamond = traces(picture, "markers")
    # sqrt(12 500 / 8 000) = 1.25; sqrt(14 / 11) = 1.128.
    assert list(circle.y) == pytest.approx([0.25] * 4)
    assert (list(diamond.x), diamond.y[0]) == ([6], pytest.approx(0.128, abs=0.001))
    guide, error = picture.figure.layout.shapes
    assert (guide.y0, guide.y1, guide.line.dash) == (0.15, 0.15, "dash")
    assert (error.y0, error.line.dash) == (0.09, "dot")
    said = [a.text for a in picture.figure.layout.annotations]
    assert said == ["15 % either way", "typical error 9 %"]
    assert picture.numbers.rows[0] == ("J-000", "3", "25 %", "30 %", "yes")


def test_without_a_fitted_fall_the_marks_stand_alone():
    picture = sheet(answer(target(tried(5)))).pictures[-1]
    assert traces(picture, "lines") == []
    assert "line" not in [k.shape for k in picture.key]
    assert picture.numbers.rows[0][3] == "not known"


def test_the_worth_of_fields_has_a_row_each_and_a_mark_a_target():
    cost = (
        FieldWorth("scope items", 0.3, 0.24, 0.0, 6, True),
        FieldWorth("dates", 0.001, -0.02, 0.0, 6, False),
    )
    days = (FieldWorth("crew size", 0.16, 0.12, 0.5, 6, True, ADVICE),)
    given = answer(
        target(tried(6), fields=cost), target(tried(6), "elapsed_days", fields=days), currency="EUR"
    )
    shown = sheet(given)
    picture = shown.pictures[-1]
    assert list(rows_of(picture)) == ["scope items", "dates", "crew size"]
    found = {
        (d.marker.symbol, float(x), round(float(y)))
        for d in picture.figure.data
        for x, y in zip(d.x, d.y, strict=True)
    }
    assert found == {
        ("circle", 0.24, 0),
        ("circle", -0.02, 1),
        ("triangle-up", 0.12, 2),
    }
    # What tells next to nothing is hollow, and the key says so.
    hollow = [d for d in picture.figure.data if d.marker.color != d.marker.line.color]
    assert any(list(d.x) == [-0.02] and d.marker.line.width == 2 for d in hollow)
    assert any(k.hollow for k in picture.key)
    assert picture.numbers.rows == (
        ("scope items", "+24 %", "not known"),
        ("dates", "-2 %", "not known"),
        ("crew size", "not known", "+12 %"),
    )
    (remarks,) = shown.remarks
    assert remarks.lines == (
        "For working days from first to last, what would help most: write down the crew size of "
        "each job (4 of 8 do not say it).",
    )


def test_advice_in_the_sentence_is_not_said_again():
    fields = (FieldWorth("crew size", 0.16, 0.12, 0.5, 6, True, ADVICE),)
    given = replace(answer(target(tried(6), fields=fields)), sentence=f"They held. {ADVICE}")
    (remarks,) = sheet(given).remarks
    assert remarks.lines == ()


def test_without_worth_of_fields_there_is_no_such_picture():
    titles = [p.title for p in sheet(answer(target(tried(6)))).pictures]
    assert titles == [
        "Direct cost, job by job",
        "Direct cost: how the range narrowed as jobs were added",
    ]


def test_the_invented_firm_has_all_its_tried_jobs_in_the_pictures():
    given = making.trusted()
    lead = given.targets[0]
    pictures = sheet(given).pictures
    drawn = [row[0] for p in pictures[:-2] for row in p.numbers.rows]
    assert drawn == [t.job for t in lead.tried]
    missed = [row[0] for p in pictures[:-2] for row in p.numbers.rows if row[-1] == "no"]
    held = next(c for c in lead.coverage if c.level == 0.8)
    assert len(drawn) - len(missed) == held.held
    assert {making.EVIL, making.LONG} & set(drawn)
