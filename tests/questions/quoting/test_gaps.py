"""What a quote leaves out: both sources of knowledge in one row an item."""

from making import bathrooms, job, new_bathroom

from costlearn.questions.quoting.gaps import forgotten_items, forgotten_table, phase_table


def test_trade_and_history_about_one_item_stand_in_one_row():
    scope = {"gut_demo": 50.0, "drywall": 200.0}
    jobs = [job(f"a{i}", kind="bathroom", scope=scope) for i in range(10)]
    asked = job("new", kind="bathroom", scope={"gut_demo": 40.0, "drywall": None})
    (one,) = forgotten_items(jobs, asked)
    assert (one.item, one.trade_knowledge) == ("drywall", True)
    assert one.why == (
        "gut demolition needs drywall or backer board (common practice, no source); "
        "10 of 10 finished jobs of kind bathroom had it"
    )


def test_an_item_that_goes_with_another_says_with_which():
    jobs = [job(f"a{i}", scope={"niche": 1.0, "bench": 1.0}) for i in range(5)]
    jobs += [job(f"b{i}", scope={"mirror": 1.0}) for i in range(5)]
    (one,) = forgotten_items(jobs, job("new", scope={"niche": 1.0}))
    assert one.why == "5 of 5 finished jobs with shower niche had it"


def test_an_item_that_goes_without_another_says_so():
    jobs = [job(f"a{i}", scope={"tub_install": 1.0, "paint": 1.0}) for i in range(6)]
    jobs += [job(f"b{i}", scope={"shower_base": 1.0, "paint": 1.0}) for i in range(6)]
    found = forgotten_items(jobs, job("new", scope={"paint": 1.0}))
    assert "6 of 6 finished jobs without shower base had it" in {f.why for f in found}


def test_a_quote_of_unknown_kind_speaks_of_all_jobs_on_file():
    found = forgotten_items(bathrooms(8).jobs, job("new", scope={"paint": 1.0}))
    assert {f.item for f in found} == {"toilet", "vanity", "floor_tile"}
    assert all(f.why == "8 of 8 finished jobs on file had it" for f in found)


def test_tables_say_how_to_answer_and_are_left_out_when_empty():
    assert forgotten_table(()) is None
    assert phase_table((), "USD") is None
    table = forgotten_table(forgotten_items(bathrooms(8).jobs, new_bathroom(scope={"paint": 1.0})))
    assert table is not None and "'no'" in table.note
    assert len(table.rows) == 3
