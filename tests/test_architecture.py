"""The house rules hold: layers, sizes, docstrings, announced errors, light start, tests."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
HOUSE = ROOT / "costlearn"
MODULES = sorted(HOUSE.rglob("*.py"))
LONGEST_MODULE = 600
LONGEST_FUNCTION = 60
HEAVY = {
    "numpy", "pandas", "scipy", "sklearn", "statsmodels", "plotly", "jinja2", "openpyxl",
    "xlsxwriter", "python_calamine", "rapidfuzz",
}  # fmt: skip
HOMES = {
    "python_calamine": {"intake"},
    "rapidfuzz": {"intake"},
    "sqlite3": {"book"},
    "statsmodels": {"models"},
    "scipy": {"models"},
    "plotly": {"pages"},
    "jinja2": {"pages"},
    "typer": {"cli"},
    "rich": {"cli"},
    "xlsxwriter": {"demo", "book"},
}
"""Each outside library and the rooms it may be used in."""
# Joined here so that this file does not hold the words it looks for.
UNFINISHED = re.compile(r"\b(?:" + "|".join(("TO" + "DO", "FIX" + "ME", "X" + "XX")) + r")\b")
TEXTS = {".py", ".toml", ".md", ".html", ".css", ".js", ".csv", ".txt", ".yml", ".yaml", ""}

Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def tree(module: Path) -> ast.Module:
    return ast.parse(module.read_text("utf-8"))


def name_of(module: Path) -> str:
    return str(module.relative_to(ROOT))


def functions(node: ast.AST, prefix: str = "") -> Iterator[tuple[str, Function, ast.AST]]:
    """Every function and method, with its dotted name and what it stands in."""
    for child in ast.iter_child_nodes(node):
        if isinstance(child, Function):
            yield f"{prefix}{child.name}", child, node
            yield from functions(child, f"{prefix}{child.name}.")
        elif isinstance(child, ast.ClassDef):
            yield from functions(child, f"{prefix}{child.name}.")
        elif not isinstance(child, ast.expr):
            yield from functions(child, prefix)


def is_public(dotted: str) -> bool:
    return not any(part.startswith("_") for part in dotted.split("."))


def raised(function: Function) -> set[str]:
    """Classes a function's own body raises by name; what it only passes on is not counted."""
    found: set[str] = set()
    waiting: list[ast.AST] = list(function.body)
    while waiting:
        node = waiting.pop()
        if isinstance(node, Function | ast.Lambda | ast.ClassDef):
            continue
        if isinstance(node, ast.Raise) and node.exc is not None:
            # A command that ends with an exit code is no error.
            made = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            name = ast.unparse(made).rpartition(".")[2]
            if name[:1].isupper() and name != "Exit":
                found.add(name)
        waiting.extend(ast.iter_child_nodes(node))
    return found


def test_the_layers_hold() -> None:
    done = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports_command as c; c()"],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout
    assert int(re.search(r"Contracts: (\d+) kept", done.stdout)[1]) >= 2  # type: ignore[index]


def test_every_outside_library_lives_in_its_room() -> None:
    strays = []
    for module in MODULES:
        room = module.relative_to(HOUSE).parts[0]
        for node in ast.walk(tree(module)):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module and not node.level:
                names = [node.module]
            for name in names:
                library = name.partition(".")[0]
                if room not in HOMES.get(library, {room}):
                    strays.append(f"{name_of(module)} imports {name}")
    assert not strays


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_no_module_is_too_long(module: Path) -> None:
    assert len(module.read_text("utf-8").splitlines()) <= LONGEST_MODULE


def test_no_test_file_is_far_too_long() -> None:
    long = [
        name_of(p)
        for p in (ROOT / "tests").rglob("*.py")
        if len(p.read_text("utf-8").splitlines()) > 600
    ]
    assert not long


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_no_function_is_too_long(module: Path) -> None:
    long = [
        f"{dotted}: {node.end_lineno - node.lineno + 1}"
        for dotted, node, _ in functions(tree(module))
        if node.end_lineno is not None and node.end_lineno - node.lineno + 1 > LONGEST_FUNCTION
    ]
    assert not long


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_everything_public_says_what_it_answers(module: Path) -> None:
    assert ast.get_docstring(tree(module)) or name_of(module).endswith("__main__.py")
    silent = [
        dotted
        for dotted, node, holder in functions(tree(module))
        if is_public(dotted) and not isinstance(holder, Function) and not ast.get_docstring(node)
    ]
    silent += [
        node.name
        for node in ast.walk(tree(module))
        if isinstance(node, ast.ClassDef)
        and not node.name.startswith("_")
        and not ast.get_docstring(node)
    ]
    assert not silent


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_what_a_public_function_raises_is_announced(module: Path) -> None:
    unannounced = [
        f"{dotted} raises {', '.join(sorted(names))}"
        for dotted, node, _ in functions(tree(module))
        if is_public(dotted)
        and (names := raised(node))
        and not all(name in (ast.get_docstring(node) or "") for name in names)
    ]
    assert not unannounced


@pytest.mark.parametrize("module", MODULES, ids=name_of)
def test_no_user_meets_a_bare_error(module: Path) -> None:
    """A private function may raise one where its own module turns it into a sentence."""
    bare = [
        f"{dotted} raises {name}"
        for dotted, node, _ in functions(tree(module))
        for name in sorted(raised(node))
        if is_public(dotted)
        and name in {"ValueError", "TypeError", "RuntimeError", "Exception", "KeyError"}
    ]
    assert not bare


def test_no_room_is_a_drawer_for_everything() -> None:
    drawers = {"utils", "util", "helpers", "misc", "common"}
    assert not [name_of(m) for m in MODULES if m.stem in drawers]
    heavy_doors = [
        name_of(m)
        for m in MODULES
        if m.name == "__init__.py" and m.parent != HOUSE and any(True for _ in functions(tree(m)))
    ]
    assert not heavy_doors


def test_no_class_tree_grows_tall() -> None:
    """A class may have one base of ours above it, and error classes two."""
    bases = {
        node.name: [ast.unparse(b).rpartition(".")[2] for b in node.bases]
        for module in MODULES
        for node in ast.walk(tree(module))
        if isinstance(node, ast.ClassDef)
    }

    def height(name: str) -> int:
        return max((1 + height(b) for b in bases.get(name, ()) if b in bases), default=0)

    assert not [name for name in bases if height(name) > 2]


def test_nothing_is_left_unfinished_in_the_tree() -> None:
    listed = subprocess.run(
        ["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    named = [ROOT / n for n in listed.stdout.split("\0") if n] or [*HOUSE.rglob("*"), *MODULES]
    files = [p for p in named if p.suffix in TEXTS and p.is_file()]
    assert len(files) > 100
    found = [
        f"{p.relative_to(ROOT)}: {hit[0]}"
        for p in files
        if (hit := UNFINISHED.search(p.read_text("utf-8", errors="ignore")))
    ]
    assert not found


@pytest.mark.parametrize("words", [["--help"], ["estimate", "--help"], ["--version"], ["words"]])
def test_nothing_heavy_is_loaded_to_say_what_there_is(words: list[str]) -> None:
    code = (
        "import sys\nfrom costlearn.cli.main import main\n"
        f"code = main({words!r})\n"
        "print(*sorted({m.partition('.')[0] for m in sys.modules}), file=sys.stderr)\n"
        "sys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=False, cwd=ROOT
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout
    assert not HEAVY & set(done.stderr.split())


def test_the_tests_repeat_the_house() -> None:
    rooms = {p.name for p in HOUSE.iterdir() if (p / "__init__.py").is_file()}
    missing = {room for room in rooms if not list((ROOT / "tests" / room).glob("test_*.py"))}
    assert not missing
    top = {p.stem for p in HOUSE.glob("*.py") if not p.stem.startswith("_")}
    assert not {stem for stem in top if not (ROOT / "tests" / f"test_{stem}.py").is_file()}


def test_every_name_in_the_house_is_typed() -> None:
    untyped = [
        f"{name_of(module)}: {dotted}"
        for module in MODULES
        for dotted, node, _ in functions(tree(module))
        if node.returns is None and node.name != "__init__"
    ]
    assert not untyped
    assert (HOUSE / "py.typed").is_file()
