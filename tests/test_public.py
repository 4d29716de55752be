"""The public surface: small, whole, loaded on first use, and enough to do without the command."""

from __future__ import annotations

import ast
import doctest
import json
import subprocess
import sys
from pathlib import Path

import pytest

import costlearn

ROOT = Path(__file__).resolve().parents[1]
HEAVY = {"numpy", "pandas", "scipy", "sklearn", "statsmodels", "plotly", "jinja2", "typer", "rich"}


def python(code: str) -> str:
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.strip()


def typed_names() -> set[str]:
    """What type checkers see: the names under ``if TYPE_CHECKING``."""
    tree = ast.parse((ROOT / "costlearn" / "__init__.py").read_text("utf-8"))
    names: set[str] = set()
    for node in tree.body:
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            for line in node.body:
                if isinstance(line, ast.ImportFrom):
                    names |= {alias.name for alias in line.names}
                elif isinstance(line, ast.AnnAssign):
                    names.add(ast.unparse(line.target))
    return names


@pytest.mark.parametrize("name", costlearn.__all__)
def test_every_public_name_resolves_and_explains_itself(name: str) -> None:
    value = getattr(costlearn, name)
    if name == "__version__":
        assert value[0].isdigit()
    else:
        assert value.__name__ == name
        assert (value.__doc__ or "").strip(), f"{name} has no docstring"


def test_the_developers_guide_names_every_public_name() -> None:
    guide = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    assert not [name for name in costlearn.__all__ if f"`{name}`" not in guide]


def test_the_surface_is_small_and_nothing_else_is_public() -> None:
    assert len(costlearn.__all__) <= 30
    assert sorted(costlearn.__all__) == dir(costlearn)
    own = {"TYPE_CHECKING", "Any", "annotations"}
    fresh = "import costlearn, types; print(*[n for n, v in vars(costlearn).items()"
    fresh += " if not n.startswith('_') and not isinstance(v, types.ModuleType)])"
    assert set(python(fresh).split()) <= own


def test_what_type_checkers_see_is_what_is_loaded() -> None:
    assert typed_names() == set(costlearn.__all__)


def test_a_name_that_is_not_public_is_refused() -> None:
    with pytest.raises(AttributeError, match="no attribute 'forecast_all'"):
        costlearn.forecast_all  # noqa: B018


def test_importing_loads_nothing_heavy_and_a_name_loads_only_what_it_needs() -> None:
    code = "import sys, costlearn; print(*sorted({m.partition('.')[0] for m in sys.modules}))"
    assert not HEAVY & set(python(code).split())
    code = code.replace(
        "; print", "; costlearn.Firm; costlearn.Job; costlearn.read_settings; print"
    )
    assert not HEAVY & set(python(code).split())


def test_the_example_in_the_docstring_runs() -> None:
    found = doctest.testmod(costlearn)
    assert found.attempted >= 8
    assert found.failed == 0


def test_a_notebook_can_do_what_the_command_does(tmp_path: Path) -> None:
    folder = costlearn.demo_folder()
    firm = costlearn.read_settings(folder / "firm.toml")
    with costlearn.Book.open(tmp_path / "jobs.book") as book:
        book.set_firm(firm)
        for name in ("jobs_2024.csv", "jobs_2025.csv", "phases.xlsx"):
            book.add(costlearn.read_file(folder / name, firm), folder / name)
        history = book.history()
    quote = costlearn.read_asked(folder / "quote_sane.toml", firm)
    terms = costlearn.YearTerms(14)
    answers = {
        "estimate": costlearn.estimate(history, quote),
        "quotecheck": costlearn.check(history, quote, margin=0.3),
        "overruns": costlearn.overruns(history),
        "crew": costlearn.crew(history, quote, terms),
        "trust": costlearn.backtest(history),
        "forecast": costlearn.forecast(history, history.running[0]),
        "options": costlearn.option_prices(history),
    }
    for name, answer in answers.items():
        data = json.loads(json.dumps(answer.plain(), allow_nan=False))
        assert data["question"] == name
        assert data["sentence"] == answer.sentence
        page = costlearn.write_page(answer, tmp_path / f"{name}.html").read_text("utf-8")
        assert page.startswith("<!doctype html>") or page.startswith("<!DOCTYPE html>")


def test_a_mistake_is_caught_as_one_kind_of_error(tmp_path: Path) -> None:
    with pytest.raises(costlearn.CostlearnError) as caught:
        costlearn.read_file(tmp_path / "none.csv", costlearn.Firm())
    assert isinstance(caught.value, costlearn.InputProblem)
    assert str(caught.value).count("\n") == 0


def test_entries_make_a_history_and_jobs_make_one_by_hand() -> None:
    assert costlearn.assemble((), costlearn.Firm()).jobs == ()
    job = costlearn.Job("a1", "A1", actual=costlearn.Amounts(cost=1_200_000))
    history = costlearn.History(costlearn.Firm(), (job,))
    assert history.usable == (job,)
    assert not costlearn.estimate(history, costlearn.Job("n", "New", state="quoted")).known
