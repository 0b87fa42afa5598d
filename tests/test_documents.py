"""What the documents say is so: commands run, excerpts are real output, names and exit codes exist."""

from __future__ import annotations

import os
import platform
import re
import shlex
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from importlib.metadata import version
from pathlib import Path

import pytest

import cli.main
from cli.arguments import parser

ROOT = Path(__file__).resolve().parent.parent
README, DEVELOPERS = ((ROOT / name).read_text(encoding="utf-8") for name in ("README.md", "DEVELOPERS.md"))
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

DRAWN_WITH = ("1.16.0", "x86_64")
"""Version of highspy and machine the README's drawings come from."""


def section(text: str, heading: str) -> str:
    """Give what stands under a second-level heading."""
    found = re.findall(rf"^## {re.escape(heading)}\n(.*?)(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    assert len(found) == 1, heading
    return str(found[0])


def fences(text: str, language: str) -> list[list[str]]:
    """Give the lines of every fenced block of a language."""
    blocks = re.findall(rf"^```{language}\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
    return [block.splitlines() for block in blocks]


def only_command(heading: str) -> str:
    """Give the one command line under a heading of the README."""
    (lines,) = fences(section(README, heading), "sh")
    (line,) = lines
    return line


def commands(text: str) -> Iterator[list[str]]:
    """Give every command in a document's shell blocks, word by word; comments are left out."""
    for block in fences(text, "sh"):
        for line in block:
            for command in line.split("&&"):
                words = shlex.split(command, comments=True)
                if words:
                    yield words


def seamwise_commands(text: str) -> Iterator[list[str]]:
    """Give the arguments of every `seamwise` command in shell blocks and in running text."""
    inline = re.findall(r"`((?:\.venv/bin/)?seamwise [^`]+)`", text)
    for words in (*commands(text), *map(shlex.split, inline)):
        if Path(words[0]).name == "seamwise":
            yield words[1:]


@pytest.fixture(scope="module")
def report() -> str:
    """
    Run the last command under "Run it" and give what it prints.

    With time to spare, for what is claimed is the answer and not how soon a busy machine gives it; the
    guesses in Check, most of the work and no part of an excerpt, are not tried out.
    """
    (words,) = seamwise_commands(section(README, "Run it"))
    code = (
        "import sys, cli.main, cli.study, optimizer.models.runs as runs\n"
        "cli.study.LEAST_SECONDS = runs.TIE_SECONDS = 60.0\n"
        "cli.study.try_assumptions = lambda *asked: ()\n"
        f"sys.exit(cli.main.main({[*words, '--seconds', '300']!r}))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        encoding="utf-8",
        check=False,
        env={k: v for k, v in os.environ.items() if k not in ("COLUMNS", "FORCE_COLOR")}
        | {"PYTHONIOENCODING": "utf-8", "PYTHONPATH": str(ROOT)},
    )
    assert done.returncode == 0, done.stderr
    return done.stdout


def missing(excerpt: list[str], report: str) -> list[str]:
    """Give the first passage of an excerpt that is not in the report, in order; dots part passages."""
    rest = report.splitlines()
    passage: list[str] = []
    for line in [*excerpt, "..."]:
        if line.strip() != "...":
            passage.append(line)
            continue
        starts = (i for i in range(len(rest)) if rest[i : i + len(passage)] == passage)
        start = next(starts, None)
        if start is None:
            return passage
        rest, passage = rest[start + len(passage) :], []
    return []


def test_the_money_in_the_readme_is_real(report):
    """What the README shows of the bill and of what was saved is in the report of the command it names."""
    money, *_ = fences(README, "text")

    assert any("This plan saves" in line for line in money)
    assert missing(money, report) == []


@pytest.mark.skipif(
    (version("highspy"), platform.machine()) != DRAWN_WITH,
    reason="another solver may settle ties between equally cheap plans in another way",
)
def test_the_drawings_in_the_readme_are_real(report):
    """The sheet and the half roof in the README are in the report of the command it names."""
    _, drawn, *_ = fences(README, "text")

    assert any("seen looking up from its eave" in line for line in drawn)
    assert missing(drawn, report) == []


def test_an_excerpt_that_is_not_there_is_found():
    """A changed line, and passages in the wrong order, are both told."""
    report = "one\ntwo\nthree\n"

    assert missing(["one", "...", "three"], report) == []
    assert missing(["one", "  ...", "four"], report) == ["four"]
    assert missing(["three", "...", "one"], report) == ["one"]
    assert missing(["one", "three"], report) == ["one", "three"]


@pytest.mark.parametrize(("heading", "target"), [("Run it", "."), ("Test it", ".[test]")])
def test_one_line_sets_all_up(heading, target):
    """Each of the two commands makes its environment, installs from this folder, and uses no other Python."""
    make, install, use = (shlex.split(part) for part in only_command(heading).split("&&"))

    assert make == ["python3", "-m", "venv", ".venv"]
    assert install[:2] == [".venv/bin/pip", "install"]
    assert [word for word in install[2:] if not word.startswith("--")] == [target]
    assert use[0].startswith(".venv/bin/")


def test_what_the_two_lines_install_is_enough():
    """What the test command needs is in the test extra, and the command is one the package installs."""
    assert any(need.startswith("pytest") for need in PROJECT["optional-dependencies"]["test"])
    assert PROJECT["scripts"] == {"seamwise": "cli.main:entry"}
    assert PROJECT["requires-python"] == ">=3.11"


def test_the_readme_walks_from_nothing_to_a_plan(tmp_path, monkeypatch, capsys):
    """The commands under "Your own building" work as written, one after the other, in an empty folder."""
    monkeypatch.chdir(tmp_path)
    ran = 0
    for block in fences(section(README, "Your own building"), "sh"):
        for line in block:
            name, *arguments = shlex.split(line)
            assert name == ".venv/bin/seamwise"
            assert cli.main.main(arguments) == cli.main.DONE, line
            assert capsys.readouterr().out, line
            ran += 1

    assert ran > 3
    assert sorted(path.name for path in (tmp_path / "house").iterdir()) == [
        "buy.csv",
        "cut.csv",
        "plan.json",
        "site.html",
    ]


@pytest.mark.parametrize("words", [*seamwise_commands(README), *seamwise_commands(DEVELOPERS)], ids=" ".join)
def test_every_seamwise_command_is_understood(words):
    """Every `seamwise` command in the documents is one that the command line knows."""
    if "--help" in words:
        with pytest.raises(SystemExit, match=r"^0$"):
            parser().parse_args(words)
    else:
        parser().parse_args(words)


def test_other_programs_are_there():
    """Every other program the developers' page runs is in this tree or in one of the extras."""
    extras = " ".join(need for group in PROJECT["optional-dependencies"].values() for need in group)
    for words in commands(DEVELOPERS):
        program = words[0].removeprefix(".venv/bin/")
        if program.startswith(".ci/"):
            assert os.access(ROOT / program, os.X_OK), program
        elif program not in ("python3", "python", "pip", "seamwise"):
            assert re.search(rf"\b{program}\b", extras), program
        for word in words[1:]:
            if word.startswith(("tests/", "benchmarks/", "cli/")):
                assert (ROOT / word.partition("::")[0]).exists(), word


def test_pytest_takes_the_options_it_is_given():
    """Every pytest command on the developers' page names tests and options that exist."""
    asked = [words[3:] for words in commands(DEVELOPERS) if words[1:3] == ["-m", "pytest"]]

    assert any(asked)
    for arguments in filter(None, asked):
        command = [sys.executable, "-m", "pytest", "--collect-only", "-q", *arguments]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        assert done.returncode == 0, (arguments, done.stdout[-500:], done.stderr[-500:])


def test_benchmarks_run_as_written():
    """Every `python -m benchmarks` command on the developers' page has a table of that name."""
    asked = [words[3:] for words in commands(DEVELOPERS) if words[1:3] == ["-m", "benchmarks"]]

    assert asked
    for arguments in asked:
        command = [sys.executable, "-m", "benchmarks", *arguments, "--help"]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        assert done.returncode == 0, (arguments, done.stderr[-500:])


def mapped() -> Iterator[str]:
    """Give every file, folder or pattern that the map names, from the root."""
    folder = ""
    (lines,) = fences(section(DEVELOPERS, "The map"), "text")
    for line in lines:
        names = re.split(r" {2,}", line.strip())[0].split()
        if line[:1].strip():
            folder = names[0]
            yield folder
        else:
            yield from (folder + name for name in names)


def test_the_map_is_complete_and_true():
    """Every name in the map is a file or folder, and every module is in the map."""
    names = list(mapped())
    modules = {
        path.relative_to(ROOT).as_posix()
        for folder in ("optimizer", "takeoff", "cli")
        for path in (ROOT / folder).rglob("*.py")
        if path.name != "__init__.py"
    }

    assert [name for name in names if not any(ROOT.glob(name))] == []
    assert sorted(m for m in modules if not any(fnmatch(m, name) for name in names)) == []


@pytest.mark.parametrize("text", [README, DEVELOPERS], ids=["README", "DEVELOPERS"])
def test_paths_in_running_text_exist(text):
    """A path in backquotes or in a link leads somewhere."""
    quoted = re.findall(r"`((?:optimizer|takeoff|cli|tests|benchmarks|\.ci)/[^`\s]*)`", text)
    linked = re.findall(r"\]\(([^):#]+)\)", text)

    assert quoted + linked
    assert [path for path in quoted + linked if not any(ROOT.glob(path.rstrip("/")))] == []


def test_exit_codes_are_those_of_the_program():
    """The README's table of exit codes lists every code there is, and no other."""
    told = {int(code) for code in re.findall(r"^\| (\d+) \|", section(README, "Exit codes"), re.MULTILINE)}
    codes = {value for key in cli.main.__all__ if type(value := getattr(cli.main, key)) is int}

    assert told == codes


def test_continuous_integration_runs_what_the_readme_says():
    """`.ci/run` reads its test command from the README instead of keeping one of its own."""
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")

    assert "command_under 'Test it'" in script
    assert "pytest" not in script
    subprocess.run(["bash", "-n", ROOT / ".ci" / "run"], check=True)
