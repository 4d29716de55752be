"""The page of one job: whole, traced, and its name stays text."""

import page_making as making
from page_reading import Page

from costlearn.pages.shell import ordering
from costlearn.pages.write import page_html
from costlearn.questions.onfile.job import job_on_file


def test_names_stay_text_and_every_table_is_there():
    history = making.evil_history()
    answer = job_on_file(history, history.jobs[3])
    page = Page(page_html(answer))
    assert page.by_class("subject")[0].startswith(making.EVIL)
    assert page.of("script") == [ordering()]
    assert page.of("b") == []
    assert set(page.of("caption")) >= {t.caption for t in answer.tables()} - {making.EVIL}
    assert making.EVIL in page.of("caption")
