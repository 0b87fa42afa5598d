"""The command itself, as a process: exit codes, streams, and one sentence for whatever is wrong."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from cli.main import main
from optimizer.errors import Bug, NoPlan, TimeUp

ROOT = Path(__file__).resolve().parents[2]
THREE = ("--length", "16ft", "--width", "10ft", "--pitch", "6")
JOB = 'length = "16 ft"\nwidth = "10 ft"\npitch = 6\n'


def seamwise(*arguments, cwd=ROOT, given=b"", **environment):
    """Run the command and give the finished process, its output as text."""
    done = subprocess.run(
        [sys.executable, "-m", "cli.main", *map(str, arguments)],
        cwd=cwd,
        input=given,
        capture_output=True,
        timeout=120,
        env={**os.environ, "PYTHONPATH": str(ROOT), **environment},
    )
    done.stdout, done.stderr = done.stdout.decode(), done.stderr.decode()
    return done


@pytest.fixture
def run(capsys, monkeypatch, tmp_path):
    """Give a function that runs the command in this process, in a directory of its own."""
    monkeypatch.chdir(tmp_path)

    def call(*arguments):
        code = main([str(argument) for argument in arguments])
        streams = capsys.readouterr()
        return SimpleNamespace(returncode=code, stdout=streams.out, stderr=streams.err)

    return call


def complaint(done, code):
    """Give the one sentence on standard error of a run that failed with this code and printed nothing."""
    assert (done.returncode, done.stdout) == (code, ""), done.stderr
    assert done.stderr.startswith("seamwise: ")
    assert done.stderr.count("\n") == 1
    assert "Traceback" not in done.stderr
    return done.stderr


@pytest.mark.parametrize("verb", [(), ("new",), ("plan",), ("takeoff",), ("schema",)])
def test_help_is_help(verb):
    """Every verb has a help text that tells the exit codes, and heavy libraries stay unloaded."""
    done = seamwise(*verb, "--help")

    assert done.returncode == 0
    assert "exit codes:" in done.stdout
    assert done.stderr == ""


def test_help_loads_nothing_heavy():
    """Asking for help imports no solver and no model of a job."""
    script = (
        "import sys; from cli.main import main\n"
        "try: main(['plan', '--help'])\n"
        "except SystemExit: pass\n"
        "heavy = {'ortools', 'highspy', 'numba', 'numpy', 'pydantic', 'rich'}\n"
        "print(heavy & set(sys.modules), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60
    )

    assert done.stderr == "set()\n"


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ((), "VERB"),
        (("build",), "'build'"),
        (("plan",), "--length, --width, --pitch missing"),
        (("plan", "--length", "16ft", "--pitch", "6"), "--width missing"),
        (("plan", "job.toml", "--length", "16ft"), "--length stands beside the job file job.toml"),
        (("plan", "-", "--prices", "-"), "can't both come from standard input"),
        (("plan", *THREE, "--seconds", "soon"), "--seconds: 'soon' is not a number of seconds above 0"),
        (("plan", *THREE, "--seconds", "0"), "--seconds: '0' is not a number of seconds above 0"),
        (("plan", *THREE, "--seconds", "-5"), "'-5' is not a number of seconds above 0; write it like 30"),
        (("plan", *THREE, "--seconds", "nan"), "--seconds: 'nan' is not a number of seconds above 0"),
        (("plan", *THREE, "--seconds", "1e7"), "--seconds: '1e7' is more than 1000000 seconds"),
        (("plan", *THREE, "--colour"), "--colour"),
        (("takeoff", "--length", "16 cubits", "--width", "10ft", "--pitch", "6"), "length: '16 cubits'"),
        (("takeoff", "--length", "-16ft", "--width", "10ft", "--pitch", "6"), "--length"),
        (("takeoff", "--length=-16ft", "--width", "10ft", "--pitch", "6"), "length: '-16ft'"),
        (("takeoff", "--length", "0ft", "--width", "10ft", "--pitch", "6"), "length: '0ft'"),
        (("takeoff", "--length", "16ft", "--width", "10ft", "--pitch", "flat"), "pitch: 'flat'"),
        (("new", "job.txt"), "job.txt: a job file's name ends in .toml"),
    ],
)
def test_wrong_arguments(run, arguments, says):
    """A wrong argument is one sentence that names it, with exit code 2."""
    assert says in complaint(run(*arguments), 2)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "job.toml: the file is empty"),
        (JOB + "pitch =\n", "job.toml, line 4: 'pitch =' is not valid TOML"),
        (JOB + "colour = 3\n", "job.toml, line 4: colour: unknown key"),
        (
            JOB + 'rake_overhand = "1 ft"\n',
            "job.toml, line 4: rake_overhand: unknown key; did you mean rake_overhang?",
        ),
        (JOB + "[rule]\nstager = 3\n", "job.toml, line 5: rule.stager: unknown key; did you mean stagger?"),
        (JOB.replace('"16 ft"', "true"), "job.toml, line 1: length:"),
        (JOB.replace('"16 ft"', '"-16 ft"'), "job.toml, line 1: length: '-16 ft' is negative"),
        (JOB.replace('"10 ft"', '"0 ft"'), "job.toml, line 2: width: '0 ft'"),
        (JOB.replace('"10 ft"', "10"), "job.toml, line 2: width: 10 has no unit"),
        (JOB.replace('"10 ft"', '"10 furlongs"'), "job.toml, line 2: width: '10 furlongs' is not a length"),
        (JOB.replace('"10 ft"', '["10 ft"]'), "job.toml, line 2: width:"),
        (JOB.replace("width", "depth"), "job.toml, line 2: depth: unknown key"),
        ('length = "16 ft"\npitch = 6\n', "job.toml: width: this key is needed"),
        (JOB + "spare = -1\n", "job.toml, line 4: spare:"),
        (JOB + "spare = 1.5\n", "job.toml, line 4: spare:"),
        (JOB + 'rules = "strict"\n', "job.toml, line 4: rules: 'strict' is not known here; write 'usual'"),
        (JOB + 'rafter_spacing = "32 in"\n', "job.toml, line 4: rafter_spacing: rafters 32 in apart"),
        (JOB + 'panel = "marzipan"\n', "job.toml, line 4: panel:"),
        (JOB + "tax_percent = 101\n", "job.toml, line 4: tax_percent:"),
        (JOB + '[[door]]\nwidth = "3 ft"\n', "job.toml, line 4: door[1].height: this key is needed"),
        (JOB + 'prices = "nowhere.csv"\n', "job.toml, line 4: prices: the price book"),
    ],
)
def test_bad_jobs(run, tmp_path, text, says):
    """Whatever is wrong in a job is one sentence that names file, line, key and value, with exit code 2."""
    (tmp_path / "job.toml").write_text(text)

    assert says in complaint(run("takeoff", "job.toml"), 2)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"key,kind\nosb-7/16,sheet\n", "prices.csv, line 2, length: a sheet needs its length"),
        (b"", "prices.csv: the file is empty"),
        (b"key,kind\n\xe4,each\n", "prices.csv, line 2: byte 0xe4 is not UTF-8"),
        (b"key,kind,size,length\n2x4,board,8 ft,8 ft\n", "osb-7/16"),
    ],
)
def test_bad_price_books(run, tmp_path, content, says):
    """A broken price book is named, not the job that names it alone."""
    (tmp_path / "prices.csv").write_bytes(content)

    assert says in complaint(run("takeoff", *THREE, "--prices", "prices.csv"), 2)


@pytest.mark.parametrize(("name", "says"), [("nowhere.toml", "no such file"), (".", "this is a directory")])
def test_jobs_that_are_no_files(run, name, says):
    """A missing job and a directory in its place are told apart."""
    assert says in complaint(run("plan", name), 2)


@pytest.mark.parametrize(
    ("error", "code", "says"),
    [
        (
            Bug("a cut overlaps"),
            70,
            "this is a fault of seamwise, please report it with the job: a cut overlaps",
        ),
        (RuntimeError("two\nlines"), 70, "RuntimeError: two lines (test_main.py, line"),
        (NoPlan("shelf fits no 1x8"), 2, "no plan: shelf fits no 1x8"),
        (TimeUp("nothing yet"), 3, "no plan: nothing yet"),
        (KeyboardInterrupt(), 130, "interrupted before there was a plan"),
    ],
)
def test_every_end_has_its_exit_code(run, monkeypatch, error, code, says):
    """A fault of ours, a job without a plan and an interrupt are told apart, each in one line."""

    def fail(arguments):
        raise error

    monkeypatch.setattr("cli.commands.takeoff.load", fail)

    assert says in complaint(run("takeoff", *THREE), code)


def test_takeoff_from_standard_input(tmp_path):
    """A dash reads the job from standard input, with a spreadsheet's mark and Windows line ends or not."""
    plain = seamwise("takeoff", "-", "--json", given=JOB.encode(), cwd=tmp_path)
    windows = seamwise(
        "takeoff", "-", "--json", given=b"\xef\xbb\xbf" + JOB.replace("\n", "\r\n").encode(), cwd=tmp_path
    )

    assert plain.returncode == 0, plain.stderr
    assert plain.stdout == windows.stdout
    assert json.loads(plain.stdout)["format"] == "seamwise-takeoff/1"


def test_takeoff_without_a_file():
    """Three numbers are enough, and the takeoff names every part of itself."""
    done = seamwise("takeoff", *THREE)

    assert (done.returncode, done.stderr) == (0, "")
    for heading in ("SURFACES", "RUNS", "COUNTS", "CHECKS", "ASSUMED"):
        assert heading in done.stdout
    assert "length x slope" in done.stdout  # a deck lies on the slope: it has no height
    assert "\x1b" not in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_a_job_finds_its_price_book_beside_it(tmp_path):
    """`prices` is looked for beside the job, wherever the command is run."""
    assert seamwise("new", tmp_path / "deep" / "house.toml").returncode == 0

    done = seamwise("takeoff", tmp_path / "deep" / "house.toml", cwd=ROOT)

    assert (done.returncode, done.stderr) == (0, "")


def test_new_never_overwrites(run, tmp_path):
    """A second `new` leaves both files as they are."""
    assert run("new", "house.toml").returncode == 0
    (tmp_path / "house.toml").write_text("mine")

    assert "house.toml: the file exists already" in complaint(run("new", "house.toml"), 2)
    assert (tmp_path / "house.toml").read_text() == "mine"


def test_new_writes_both_or_neither(run, tmp_path):
    """A price book in the way stops the job too."""
    (tmp_path / "house-prices.csv").write_text("mine")

    complaint(run("new", "house.toml"), 2)

    assert [path.name for path in tmp_path.iterdir()] == ["house-prices.csv"]


def test_schema_is_a_json_schema():
    """`schema` prints a JSON Schema whose required names are those of a plan."""
    done = seamwise("schema")
    schema = json.loads(done.stdout)

    assert done.stderr == ""
    assert {
        "format",
        "status",
        "unit",
        "currency",
        "buy",
        "total",
        "bound",
        "cut",
        "lay",
        "keep",
        "check",
    } <= set(schema["required"])


def test_a_reader_that_leaves(tmp_path):
    """When the reader of a pipe goes away the command ends in silence."""
    process = subprocess.Popen(
        [sys.executable, "-m", "cli.main", "schema"], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    process.stdout.close()
    process.wait(timeout=60)

    assert (process.returncode, process.stderr.read()) == (141, b"")
    process.stderr.close()


FULL = Path("/dev/full")


@pytest.mark.skipif(not FULL.exists(), reason="needs a device that is always full")
@pytest.mark.parametrize("arguments", [("schema",), ("takeoff", *THREE), ("--help",), ("--version",)])
def test_output_that_can_not_be_written(arguments):
    """A full disk behind standard output is one sentence with exit code 2, not a fault of ours."""
    with FULL.open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "cli.main", *arguments],
            cwd=ROOT,
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=60,
        )

    assert done.returncode == 2
    assert done.stderr == "seamwise: standard output: the output can't be written (no space left on device)\n"


def test_standard_output_that_is_closed():
    """Without a standard output there is nobody to print for: one sentence, exit code 2."""
    script = f"exec {sys.executable} -m cli.main schema >&-"
    done = subprocess.run(["sh", "-c", script], cwd=ROOT, stderr=subprocess.PIPE, text=True, timeout=60)

    assert (done.returncode, done.stderr.count("\n")) == (2, 1)
    assert "standard output is closed" in done.stderr
