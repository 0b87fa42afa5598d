"""The rules of the tree: who imports whom, and what no file may hold."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("optimizer", "takeoff", "cli")
AUDIT = ("audit", "audit_lay", "audit_shape", "audit_cuts", "audit_corners", "audit_buy", "complaint")
LONGEST = 400
# Over the limit on purpose, each for one reason.
LONG = {
    "optimizer/engine.py": "everything that calls a solver is to be found in one place",
}
HEAVY = ("ortools", "highspy", "pandas", "numba", "numpy")


def modules(*folders: str) -> list[Path]:
    """List the Python files of these folders."""
    return sorted(path for folder in folders for path in (ROOT / folder).rglob("*.py"))


def name(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def imported(path: Path) -> set[str]:
    """Give the dotted names a file imports, inside functions too."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{name(path)} imports relatively"
            names |= {str(node.module), *(f"{node.module}.{alias.name}" for alias in node.names)}
    return names


def roots(path: Path) -> set[str]:
    return {dotted.partition(".")[0] for dotted in imported(path)}


def top_names(path: Path) -> set[str]:
    """Give the names a module binds at its top."""
    bound: set[str] = set()
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        for inner in ast.walk(node) if isinstance(node, ast.If | ast.Try) else (node,):
            if isinstance(inner, ast.FunctionDef | ast.ClassDef):
                bound.add(inner.name)
            elif isinstance(inner, ast.Import | ast.ImportFrom):
                bound |= {alias.asname or alias.name for alias in inner.names}
            elif isinstance(inner, ast.Assign):
                names = (name for target in inner.targets for name in ast.walk(target))
                bound |= {name.id for name in names if isinstance(name, ast.Name)}
            elif isinstance(inner, ast.AnnAssign) and isinstance(inner.target, ast.Name):
                bound.add(inner.target.id)
    return bound


def exported(path: Path) -> list[str] | None:
    """Give a module's `__all__`, None if it has none."""
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.Assign) and any(ast.unparse(t) == "__all__" for t in node.targets):
            return list(ast.literal_eval(node.value))
    return None


@pytest.mark.parametrize(
    ("package", "banned"),
    [("optimizer", {"takeoff", "cli"}), ("takeoff", {"cli"})],
)
def test_arrows_go_one_way(package, banned):
    """The cli imports takeoff, takeoff imports the optimizer, and nothing imports back."""
    banned = banned | {"tests", "benchmarks"}

    assert [name(path) for path in modules(package) if roots(path) & banned] == []


def test_the_audit_stands_apart():
    """The audit imports the words of question and answer, itself, and the standard library."""
    allowed = {"optimizer.words", "optimizer.plan", *(f"optimizer.{part}" for part in AUDIT)}
    files = [ROOT / "optimizer" / f"{part}.py" for part in AUDIT]

    for path in files:
        for dotted in imported(path):
            known = any(dotted == word or dotted.startswith(f"{word}.") for word in allowed)
            assert known or dotted.partition(".")[0] in sys.stdlib_module_names, (name(path), dotted)


def test_the_audit_computes_in_integers():
    """No float, no division that could make one, is written in the audit."""
    for part in AUDIT:
        for node in ast.walk(ast.parse((ROOT / "optimizer" / f"{part}.py").read_text(encoding="utf-8"))):
            assert not (isinstance(node, ast.Constant) and isinstance(node.value, float)), part
            assert not isinstance(node, ast.Div), part
            assert not (isinstance(node, ast.Name) and node.id == "float"), part


@pytest.mark.parametrize(
    ("library", "homes"),
    [
        # The engine, and the solver that only vouches for another.
        ("ortools", ("optimizer/engine.py", "optimizer/scip.py")),
        # The engine, and the one LP that grows column by column.
        ("highspy", ("optimizer/engine.py", "optimizer/growing.py")),
        ("pydantic", ("takeoff/", "cli/")),
        ("rich", ("cli/",)),
        ("pandas", ("cli/", "benchmarks/")),
    ],
)
def test_libraries_stay_where_they_belong(library, homes):
    """The engine calls solvers, the edge alone checks input, only the cli prints."""
    strays = [
        name(path)
        for path in modules(*PACKAGES, "benchmarks")
        if library in roots(path) and not name(path).startswith(homes)
    ]

    assert strays == []


def test_starting_up_loads_nothing_heavy():
    """Importing the command line loads no solver, no compiler and no tables."""
    code = f"import sys, cli.main; print(*[m for m in {HEAVY} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)

    assert done.stdout.split() == []


def test_every_module_says_what_is_public():
    """Every module has an `__all__`, and every name in it exists."""
    for path in modules(*PACKAGES, "benchmarks"):
        if path.name == "__main__.py" or not path.read_text(encoding="utf-8").strip():
            continue
        public = exported(path)
        assert public is not None, name(path)
        assert set(public) <= top_names(path), name(path)
        assert len(public) == len(set(public)), name(path)


def test_no_module_grows_too_long():
    """A file over the limit has a second noun in it, unless the list above says why not."""
    long = {name(path) for path in modules(*PACKAGES) if len(path.read_text().splitlines()) > LONGEST}

    assert long - LONG.keys() == set()
    assert LONG.keys() - long == set(), "no longer long: take it off the list"


def test_no_module_is_a_drawer():
    """A file is named for what it holds."""
    drawers = {"utils", "util", "common", "helpers", "helper", "misc", "base"}

    assert [name(path) for path in modules(*PACKAGES, "benchmarks") if path.stem in drawers] == []


def texts() -> Iterator[tuple[str, str]]:
    """Give every text file of the project but this one, with its name."""
    tops = [path for path in ROOT.iterdir() if path.is_file() and path.suffix in {".md", ".toml", ""}]
    folders = (*PACKAGES, "tests", "benchmarks", ".ci", ".github")
    below = [path for folder in folders for path in (ROOT / folder).rglob("*") if path.is_file()]
    for path in sorted(tops + below):
        if path == Path(__file__).resolve() or "__pycache__" in path.parts:
            continue
        try:
            yield name(path), path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue


# Paths of one machine, and files that are not in this repository.
ELSEWHERE = re.compile(
    r"(?<![\w.])/(?:work|tmp|home|Users|root|mnt)/\w|[A-Z]:\\Users|\.\./shared|\b(?:design|facts|style)\.md\b"
)


def test_no_file_points_outside_the_project():
    """Nothing names a path of one machine, or a document that a reader does not have."""
    found = [f"{where}: {match[0]}" for where, text in texts() for match in ELSEWHERE.finditer(text)]

    assert found == []


def test_test_files_have_names_of_their_own():
    """Tests are imported by their bare names: no two may share one, and no folder is a package."""
    names = Counter(path.name for path in modules("tests") if path.name != "conftest.py")

    assert [file for file, times in names.items() if times > 1] == []
    assert "__init__.py" not in names
