"""Files in and out: whatever is wrong with one is a sentence, and nothing is half-written."""

from __future__ import annotations

import io
import os
import re
import sys
from types import SimpleNamespace

import pytest

from cli.files import Source, csv_text, read_text, read_toml, write_files
from optimizer.errors import InputError


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_reads_what_spreadsheets_and_windows_write(tmp_path, encoding, end):
    """A mark at the start, UTF-16 and Windows line ends all read alike."""
    path = tmp_path / "job.toml"
    path.write_bytes(f'title = "Kelterhäuschen"{end}count = 2{end}'.encode(encoding))

    assert read_toml(str(path)).data == {"title": "Kelterhäuschen", "count": 2}


def test_reads_standard_input(monkeypatch):
    """A dash stands for standard input."""
    monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(b"a = 1\n")))

    source = read_toml("-")

    assert (source.data, source.name) == ({"a": 1}, "standard input")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b" \n\n", "empty"),
        (b"a = \xff\xfa", "0xff is not UTF-8"),
        (b"a\0b", "not a text file"),
    ],
)
def test_refuses_what_is_no_text(tmp_path, content, says):
    """Empty, undecodable and binary files are told apart."""
    path = tmp_path / "job.toml"
    path.write_bytes(content)

    with pytest.raises(InputError, match=says):
        read_text(str(path))


def test_names_the_line_of_a_wrong_byte(tmp_path):
    """The line of an undecodable byte is named."""
    path = tmp_path / "job.toml"
    path.write_bytes(b"a = 1\nb = '\xe4'\n")

    with pytest.raises(InputError, match="line 2"):
        read_text(str(path))


@pytest.mark.parametrize(("name", "says"), [("nowhere.toml", "no such file"), (".", "directory")])
def test_refuses_what_is_no_file(tmp_path, name, says):
    """A missing file and a directory are told apart."""
    with pytest.raises(InputError, match=says):
        read_text(str(tmp_path / name))


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("a = 1\nb =\n", 2),
        ("\n\nlength 16 ft\n", 3),
        ('a = "x\n', 1),
        ("a = [1,\n\n", 2),
    ],
)
def test_names_the_line_of_bad_toml(tmp_path, text, line):
    """Whatever is wrong with the TOML, its line is named."""
    path = tmp_path / "job.toml"
    path.write_text(text)

    with pytest.raises(InputError, match=f"job.toml, line {line}: .* is not valid TOML"):
        read_toml(str(path))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("a = 1\nb = 2\na = 3\nc = 4\n", "line 3: 'a' is given already on line 1; keep one of the two"),
        ("a = 1\nb = 2\na = [\n  3,\n]", "line 3: 'a' is given already on line 1"),
        ('a = 1\n"a" = 2', "line 2: 'a' is given already on line 1"),
        ("[rule]\ngap = 0\n\n[rule]\nstagger = 1\n", "line 4: 'rule' is given already on line 1"),
        ("rule.gap = 0\n[rule]\nstagger = 1\n", "line 2: 'rule' is given already on line 1"),
        ("rule = { gap = 0 }\nrule.stagger = 1\n", "line 2: 'rule.stagger' is given already on line 1"),
        ("[[door]]\ngap = 1\n[[door]]\ngap = 2\ngap = 3", "line 5: 'door[2].gap' is given already on line 4"),
        (
            "a = 1\nrule = { gap = 0, gap = 1 }\n",
            "line 2: 'gap' is given twice on this line; keep one of the two",
        ),
    ],
)
def test_a_key_that_is_given_twice(tmp_path, text, says):
    """A repeated key is named, with both its lines."""
    path = tmp_path / "job.toml"
    path.write_text(text)

    with pytest.raises(InputError, match=re.escape(f"job.toml, {says}")):
        read_toml(str(path))


TEXT = """\
length = "16 ft"
rule.gap = "0 in"

[drip_edge]
lap = "2 in"

[[door]]
width = "3 ft"

[[door]]
width = "4 ft"
"""


@pytest.mark.parametrize(
    ("key", "line"),
    [
        ("length", 1),
        ("rule.gap", 2),
        ("drip_edge.lap", 5),
        ("drip_edge.fold", 4),
        ("door[1].width", 8),
        ("door[2].width", 11),
        ("door[2].height", 10),
    ],
)
def test_finds_the_line_of_a_key(key, line):
    """A key is found in its table; one that is missing, by its table's heading."""
    assert Source({}, "job.toml", TEXT).place(key) == f"job.toml, line {line}: {key}"


def test_a_key_that_is_nowhere_has_no_line():
    """No line is invented for a key that isn't typed."""
    assert Source({}, "job.toml", TEXT).place("pitch") == "job.toml: pitch"


def test_writes_all_files(tmp_path):
    """Files are written byte for byte, into a directory made for them, and nothing else is left there."""
    folder = tmp_path / "deep" / "out"

    write_files(folder, {"a.csv": "x\r\n", "b.json": "{}\n"})

    assert {path.name: path.read_bytes() for path in folder.iterdir()} == {
        "a.csv": b"x\r\n",
        "b.json": b"{}\n",
    }


def test_writes_all_or_nothing(tmp_path):
    """If one file can't be written, none is, and no leftovers or directories remain."""
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "b.json").mkdir()

    with pytest.raises(InputError, match="directory"):
        write_files(tmp_path / "out", {"a.csv": "x", "b.json": "{}"})

    assert [path.name for path in (tmp_path / "out").iterdir()] == ["b.json"]


def test_a_write_that_breaks_off_leaves_nothing(tmp_path, monkeypatch):
    """A full disk at the last step takes the waiting files and the new directory with it."""

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", full)

    with pytest.raises(InputError, match="no space left"):
        write_files(tmp_path / "out", {"a.csv": "x"})

    assert list(tmp_path.iterdir()) == []


def test_leaves_a_file_that_exists_alone(tmp_path):
    """Without leave to replace, one existing file stops them all."""
    (tmp_path / "b.csv").write_text("mine")

    with pytest.raises(InputError, match="exists already"):
        write_files(tmp_path, {"a.toml": "x", "b.csv": "y"}, replace=False)

    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == {"b.csv": "mine"}


def test_a_file_in_the_place_of_the_directory(tmp_path):
    """A file where the directory should be is said so."""
    (tmp_path / "out").write_text("")

    with pytest.raises(InputError, match="a directory is wanted"):
        write_files(tmp_path / "out", {"a.csv": "x"})


def test_csv_quotes_what_needs_quotes():
    """Commas, quotes and empty cells survive."""
    assert csv_text(("a", "b"), [('8 ft, 2"', None)]) == 'a,b\n"8 ft, 2""",\n'
