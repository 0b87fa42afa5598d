"""Files in and out: text, TOML with line numbers, tables; nothing is ever left half-written."""

from __future__ import annotations

import csv
import io
import os
import re
import sys
import tempfile
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from optimizer.errors import InputError

__all__ = [
    "STANDARD_INPUT",
    "Source",
    "csv_text",
    "print_out",
    "read_text",
    "read_toml",
    "standard_output",
    "write_files",
]

STANDARD_INPUT = "-"
_HEAD = re.compile(r"\s*\[(?P<many>\[?)(?P<name>[^\[\]#]+)\]")
_PAIR = re.compile(r"\s*(?P<name>[\w\-.\"' ]+?)\s*=")
_ENCODINGS = ((b"\xef\xbb\xbf", "utf-8-sig"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))


@dataclass(frozen=True, slots=True)
class Source:
    """A job's data as it was typed, the name of the file for messages, and its text for line numbers."""

    data: dict[str, Any]
    name: str
    text: str = ""
    folder: Path = Path()

    def place(self, key: str) -> str:
        """Name file, line and key, as `job.toml, line 4: pitch`; the line only if the key is typed."""
        if not key:
            return self.name
        line = _line_of(self.text, key)
        return f"{self.name}, line {line}: {key}" if line else f"{self.name}: {key}"


def read_text(path: str) -> str:
    """
    Read a text file, or standard input for `-`; UTF-8, with or without the mark that spreadsheets put first.

    Raises
    ------
    InputError
        If it is missing, a directory, unreadable, empty or not text; says which.
    """
    name = "standard input" if path == STANDARD_INPUT else path
    try:
        raw = sys.stdin.buffer.read() if path == STANDARD_INPUT else Path(path).read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        raise InputError("there is no such file", name) from None
    except IsADirectoryError:
        raise InputError("this is a directory; name a file in it", name) from None
    except (OSError, ValueError) as error:
        raise InputError(f"the file can't be read ({_reason(error)})", name) from None
    encoding = next((found for mark, found in _ENCODINGS if raw.startswith(mark)), "utf-8")
    try:
        text = raw.decode(encoding)
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise InputError(
            f"byte {raw[error.start]:#04x} is not UTF-8 text; save the file again as UTF-8",
            f"{name}, line {line}",
        ) from None
    if "\0" in text:
        raise InputError("this is not a text file", name)
    if not text.strip():
        raise InputError("the file is empty", name)
    return text


@contextmanager
def standard_output() -> Iterator[None]:
    """
    Write to standard output while the block runs, and then all the way through.

    Raises
    ------
    InputError
        If it can't be written, as on a full disk.
    BrokenPipeError
        If whoever read it went away.
    """
    if sys.stdout is None:
        raise InputError("standard output is closed; there is nothing to print to")
    try:
        yield
        sys.stdout.flush()
    except OSError as error:
        # Python flushes once more as it ends; give it somewhere to flush to.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            raise
        raise InputError(f"the output can't be written ({_reason(error)})", "standard output") from None


def print_out(text: str) -> None:
    """Write text to standard output; raises as `standard_output` does."""
    with standard_output():
        sys.stdout.write(text)


def read_toml(path: str) -> Source:
    """
    Read a TOML file, or standard input for `-`.

    Raises
    ------
    InputError
        If it can't be read or isn't TOML; names the line.
    """
    name = "standard input" if path == STANDARD_INPUT else path
    text = read_text(path)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _no_toml(str(error), text, name) from None
    return Source(data, name, text, Path() if path == STANDARD_INPUT else Path(path).parent)


def _no_toml(error: str, text: str, name: str) -> InputError:
    """Say what is wrong, and on which line."""
    found = re.fullmatch(r"(?P<what>.*) \(at (?:line (?P<line>\d+), column \d+|end of document)\)", error)
    lines = text.splitlines()
    line = int(found["line"]) if found and found["line"] else len(lines)
    what = found["what"] if found else error
    inline = re.match(r"Duplicate inline table key '(?P<key>.*)'", what)
    if inline:
        return InputError(
            f"{inline['key']!r} is given twice on this line; keep one of the two", f"{name}, line {line}"
        )
    if what.startswith("Cannot"):  # overwrite, declare twice, mutate
        twice = _given_twice(text, line)
        if twice is not None:
            key, first, second = twice
            return InputError(
                f"{key!r} is given already on line {first}; keep one of the two", f"{name}, line {second}"
            )
    typed = lines[line - 1].strip() if 0 < line <= len(lines) else ""
    return InputError(
        f'{typed!r} is not valid TOML ({what[:1].lower()}{what[1:]}); write it like length = "16 ft"',
        f"{name}, line {line}",
    )


def _given_twice(text: str, line: int) -> tuple[str, int, int] | None:
    """Give the last key up to a line, and the lines where it, or what quarrels with it, is given."""
    known = [(number, path) for number, path in _paths(text) if number <= line]
    if not known:
        return None
    again, wanted = known.pop()
    lines = text.splitlines()
    same = [first for first, path in known if path == wanted]
    below = [first for first, path in known if path[: len(wanted)] == wanted]
    # A heading that holds the key does not quarrel with it; a value in that place does.
    above = [n for n, path in known if wanted[: len(path)] == path and not _HEAD.match(lines[n - 1])]
    quarrels = [*same, *below, *above]
    key = re.sub(r"\.(\d+)(?=\.|$)", r"[\1]", ".".join(wanted))
    return (key, quarrels[0], again) if quarrels else None


def _paths(text: str) -> Iterator[tuple[int, list[str]]]:
    """Give the number of every line that holds a heading or a key, and its steps, entries of lists from 1."""
    table: list[str] = []
    seen: dict[str, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        head, pair = _HEAD.match(line), _PAIR.match(line)
        if head:
            table = _steps(head["name"])
            if head["many"]:
                name = ".".join(table)
                seen[name] = seen.get(name, 0) + 1
                table.append(str(seen[name]))
        if head or pair:
            yield number, [*table, *(_steps(pair["name"]) if pair else ())]


def _line_of(text: str, key: str) -> int | None:
    """Find the line where a dotted key as `rule.gap` or `door[2].width` is typed, or its table."""
    wanted = re.sub(r"\[(\d+)\]", r".\1", key).split(".")
    best: tuple[int, int] | None = None
    for number, path in _paths(text):
        if wanted[: len(path)] == path and (best is None or len(path) > best[0]):
            best = (len(path), number)
    return best[1] if best else None


def _steps(name: str) -> list[str]:
    return [step.strip(" \"'") for step in name.split(".")]


def csv_text(header: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Write a table as CSV text; None becomes an empty cell."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return out.getvalue()


def write_files(folder: Path, texts: Mapping[str, str], *, replace: bool = True) -> tuple[Path, ...]:
    """
    Write several files into a folder, all of them or none.

    Everything is first written under other names beside the targets and only then renamed.

    Parameters
    ----------
    replace
        If False, a file that exists is an error.

    Raises
    ------
    InputError
        If the folder or a file can't be written; nothing is then left behind.
    """
    targets = tuple(folder / name for name in texts)
    for target in targets:
        if target.is_dir():
            raise InputError("this is a directory; a file is to be written here", str(target))
        if not replace and target.exists():
            raise InputError("the file exists already and is left as it is; name another", str(target))
    made = _make(folder)
    waiting: list[tuple[str, Path]] = []
    try:
        for target, text in zip(targets, texts.values(), strict=True):
            handle, name = tempfile.mkstemp(prefix=f".{target.name}.", dir=folder)
            waiting.append((name, target))
            with os.fdopen(handle, "w", encoding="utf-8", newline="") as out:
                out.write(text)
            os.chmod(name, 0o666 & ~_umask())
        for name, target in waiting:
            os.replace(name, target)
    except OSError as error:
        for name, _ in waiting:
            with suppress(OSError):
                os.unlink(name)
        for parent in made:
            with suppress(OSError):
                parent.rmdir()
        raise InputError(f"this can't be written ({_reason(error)})", str(folder)) from None
    return targets


def _make(folder: Path) -> tuple[Path, ...]:
    """Make a folder with its parents; give those that were made, the innermost first."""
    missing = [path for path in (folder, *folder.parents) if not path.exists()]
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except FileExistsError:
        raise InputError("this is a file; a directory is wanted here", str(folder)) from None
    except OSError as error:
        raise InputError(f"the directory can't be made ({_reason(error)})", str(folder)) from None
    return tuple(missing)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _reason(error: Exception) -> str:
    return (getattr(error, "strerror", None) or str(error)).lower()
