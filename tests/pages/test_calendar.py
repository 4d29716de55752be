"""The page of a calendar: a bar a phase, waits, hold points, and the same days as a table."""

from datetime import date

import page_making as making
import pytest
from page_reading import Page

from costlearn.pages.calendar import Days, sheet, week_ticks
from costlearn.pages.write import page_html


def test_every_phase_is_drawn_where_the_answer_has_it():
    answer = making.planned()
    page = Page(page_html(answer))
    (figure,) = page.figures()
    names = figure["layout"]["yaxis"]["ticktext"]
    assert len(names) == len(answer.spans)
    thick = next(d for d in figure["data"] if d.get("line", {}).get("width") == 17)
    drawn = [x for x in thick["x"] if x is not None]
    assert drawn == pytest.approx([at for s in answer.spans for at in s.drawn[:2]])
    for span in answer.spans:
        begin, end, until = span.drawn
        assert begin <= end <= until
        assert date.fromordinal(int(begin)) == span.first
        assert span.begins[0].toordinal() <= begin + 1e-9
    diamonds = next(d for d in figure["data"] if d.get("marker", {}).get("symbol") == "diamond")
    assert len(diamonds["x"]) == len([h for h in answer.holds if h.day])
    assert "half are done by" in figure["layout"]["annotations"][0]["text"]


def test_the_page_says_the_week_the_first_day_and_the_cautions():
    answer = making.planned(making.EVIL)
    source = page_html(answer)
    page = Page(source)
    text = " ".join(source.replace("\xa0", " ").split())
    assert page.by_class("subject")[0].startswith(making.EVIL)
    assert "Monday to Friday, less 7 holidays" in text
    assert "Skipping cure or test time is the costliest saving" in text
    assert "counted only as recorded in your jobs" in text
    assert "<script>document.title" not in source


def test_all_tables_of_the_answer_stand_in_the_page():
    answer = making.planned()
    page = Page(page_html(answer))
    cells = {*page.of("td"), *page.of("th")}
    assert len(answer.tables()) == 3
    for table in answer.tables():
        assert table.caption in page.of("caption")
        assert {cell for row in table.rows for cell in row} <= cells


def test_what_is_not_known_has_no_picture():
    answer = making.unknown()[-1]
    assert Page(page_html(answer)).of("figure") == []
    assert sheet(answer).pictures == ()


def test_ticks_stand_on_mondays_however_long_it_takes():
    for weeks in (1, 3, 9, 30, 200, 3000):
        low = date(2027, 1, 13).toordinal()
        ticks = week_ticks(low, low + 7 * weeks, 4)
        assert 1 <= len(ticks) <= 4
        assert {date.fromordinal(t).weekday() for t in ticks} == {0}
        assert all(low <= t <= low + 7 * weeks for t in ticks)
    assert week_ticks(low + 0.5, low + 2, 4) == [low + 1]
    axis = Days("days", "x").axis(low, low + 30)
    assert axis["ticktext"][0] == "18 Jan"
    assert Days("days", "x").axis(low, low + 400)["ticktext"][0] == "4 Jan 2027"
