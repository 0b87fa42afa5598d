"""The paper a report is printed on: its width, its characters, and how words and tables sit on it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import astuple, dataclass
from functools import partial

from rich.box import Box
from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.segment import Segment, Segments
from rich.table import Table
from rich.text import Text

from optimizer.lengths import FOOT, TapeUnit, format_length, size_text
from optimizer.money import format_cents

__all__ = ["BOX_MARKS", "PLAIN_MARKS", "Column", "Marks", "Paper", "paper_for"]

INDENT = 2
_POUND = 45359237
"""A pound in hundred-thousandths of a gram (exact by definition)."""


@dataclass(frozen=True, slots=True)
class Marks:
    """
    The characters of the drawings.

    Parameters
    ----------
    joints
        Sixteen line characters; the place of one is the sum of its arms: 1 up, 2 down, 4 left, 8 right.
    hatch
        Fills what falls to the floor.
    tick
        Marks a rafter under a drawing.
    rule
        Draws the line of a heading.
    slants
        A line that rises to the right, and one that falls.
    dots
        Stands in for the hatching where a drawing holds slanting lines.
    """

    joints: str
    hatch: str
    tick: str
    rule: str
    slants: str = "/\\"
    dots: str = "."

    @property
    def along(self) -> str:
        """Give the line that runs across the page."""
        return self.joints[12]


BOX_MARKS = Marks(
    joints=" ╵╷│╴┘┐┤╶└┌├─┴┬┼", hatch="/", tick="╵", rule="═", slants="\u2571\u2572", dots="\u00b7"
)
PLAIN_MARKS = Marks(joints=" |||-+++-+++-+++", hatch="/", tick="'", rule="=")

_UNDERLINED = "    \n    \n {rule} \n    \n    \n    \n    \n    \n"
_FOLDED = {
    0xD7: "x",  # multiplication sign
    0x2013: "-",  # en dash
    0x2014: "-",  # em dash
    0x2212: "-",  # minus sign
    0x2032: "'",  # prime
    0x2033: '"',  # double prime
    0x2018: "'",  # single quotation marks
    0x2019: "'",
    0x201C: '"',  # double quotation marks
    0x201D: '"',
    0xB0: " deg",
    0xBD: "1/2",
    0xBC: "1/4",
    0xBE: "3/4",
    0x2026: "...",
    0x2265: ">=",
    0x2264: "<=",
    0x2192: "->",
}
"""What stands in for a character, by its code point, where only plain ones can be shown."""


@dataclass(frozen=True, slots=True)
class Column:
    """A table's column: its heading, whether it is set right (numbers), whether it may break over lines."""

    heading: str
    right: bool = False
    breaks: bool = False


@dataclass(frozen=True, slots=True)
class Paper:
    """One console, and the unit that its reader's tape shows."""

    console: Console
    unit: TapeUnit
    marks: Marks
    currency: str = ""

    @property
    def room(self) -> int:
        """Give the columns between the indent and the right edge."""
        return max(self.console.width - INDENT, 20)

    def text(self, words: str, style: str = "") -> Text:
        """Give words as this paper can show them."""
        if self.marks is PLAIN_MARKS:
            encoding = self.console.encoding
            words = words.translate(_FOLDED).encode(encoding, "replace").decode(encoding)
        return Text(words, style)

    def size(self, *lengths: int) -> str:
        """Write one or more lengths with their unit once: `95-7/8 x 47-7/8 in`."""
        return size_text(self.unit, *lengths)

    def span(self, length: int) -> str:
        """Write a long length in the unit of the tape, with feet beside it where the tape reads inches."""
        if self.unit == "mm" or length < 3 * FOOT:
            return self.size(length)
        rest = format_length(length % FOOT, self.unit)
        feet = f"{length // FOOT} ft" + (f" {rest} in" if rest != "0" else "")
        return f"{self.size(length)} ({feet})"

    def weight(self, grams: int) -> str:
        """
        Write a weight in whole pounds or kilograms, rounded up: someone has to lift it.

        What is kept in grams was itself rounded up, so a thousandth over a whole pound is no pound more.
        """
        one, word = (100_000_000, "kg") if self.unit == "mm" else (_POUND, "lb")
        return f"{-(-grams * 99_900 // one):,} {word}"

    def money(self, cents: int | None) -> str:
        """Write an amount without its currency; nothing where no price is known."""
        return "" if cents is None else format_cents(cents)

    def amount(self, cents: int) -> str:
        """Write an amount with its currency."""
        return f"{format_cents(cents)} {self.currency}".strip()

    def put(self, thing: RenderableType, *, indent: int = INDENT) -> None:
        """Print something, set in from the left."""
        padded = Padding(thing, (0, 0, 0, indent), expand=False)
        options = self.console.options.update(highlight=False)
        for line in self.console.render_lines(padded, options, pad=False):
            self.console.print(Segments([*_without_end(line), Segment.line()]), end="")

    def gap(self) -> None:
        """Leave a line empty."""
        self.console.print()

    def title(self, words: str) -> None:
        """Head one of the five parts."""
        self.gap()
        line = f"{words.upper()} "
        fill = self.marks.rule * max(self.console.width - len(line), 0)
        self.console.print(self.text(line + fill, "bold"), highlight=False, no_wrap=True)

    def heading(self, words: str, note: str = "") -> None:
        """Head a paragraph or a table."""
        self.gap()
        rest = self.text(f"  {note}") if note else self.text("")
        self.put(Text.assemble(self.text(words, "bold"), rest))

    def say(self, words: str, style: str = "") -> None:
        """Print a paragraph."""
        self.put(self.text(words, style))

    def point(self, mark: str, words: str, *, style: str = "", wide: int = 0) -> None:
        """Print a paragraph that hangs from a mark: a number, a star, `ok`."""
        wide = max(wide, len(mark))
        grid = Table.grid(padding=(0, 1))
        grid.add_column(width=wide, no_wrap=True)
        grid.add_column(overflow="fold")
        grid.add_row(self.text(mark, style or "bold"), self.text(words))
        self.put(grid)

    def beside(self, rows: Sequence[str], points: Sequence[tuple[str, str]]) -> None:
        """Print a drawing with numbered sentences at its right, or under it where the page is narrow."""
        wide = max(map(len, rows), default=0)
        if self.room - wide - 3 < 28:
            self.lines(rows)
            for mark, words in points:
                self.point(mark, words, wide=2)
            return
        told = Table.grid(padding=(0, 1))
        told.add_column(
            width=max((len(mark) for mark, _ in points), default=1), no_wrap=True, justify="right"
        )
        told.add_column(overflow="fold")
        for mark, words in points:
            told.add_row(self.text(mark, "bold"), self.text(words))
        grid = Table.grid(padding=(0, 2))
        grid.add_column(width=wide, no_wrap=True)
        grid.add_column(overflow="fold")
        grid.add_row(self.text("\n".join(rows)), told)
        self.put(grid)

    def columns(self, words: Sequence[str]) -> None:
        """Print short words in as many even columns as fit, to be read line by line."""
        wide = max(map(len, words), default=0) + 3
        across = max((self.room + 3) // wide, 1)
        for start in range(0, len(words), across):
            self.say("".join(word.ljust(wide) for word in words[start : start + across]).rstrip())

    def lines(self, rows: Iterable[str]) -> None:
        """Print a drawing: rows that already fit."""
        for row in rows:
            self.console.print(
                self.text(" " * INDENT + row), highlight=False, no_wrap=True, overflow="crop", crop=True
            )

    def table(
        self, columns: Sequence[Column], rows: Iterable[Sequence[str]], *, strong: bool = False
    ) -> None:
        """Print a table with a line under its headings; `strong` sets the last row bold."""
        box = Box(_UNDERLINED.format(rule=self.marks.along * 2), ascii=self.marks is PLAIN_MARKS)
        table = Table(box=box, show_edge=False, pad_edge=False, padding=(0, 1), header_style="")
        for column in columns:
            table.add_column(
                self.text(column.heading),
                justify="right" if column.right else "left",
                no_wrap=not column.breaks,
                overflow="fold",
            )
        body = list(rows)
        for index, row in enumerate(body):
            style = "bold" if strong and index == len(body) - 1 else ""
            table.add_row(*map(partial(self.text, style=style), row))
        self.put(table)


def _without_end(line: Sequence[Segment]) -> list[Segment]:
    """Take the blanks off the end of a line, so that a file of the report has none."""
    kept = list(line)
    while kept and not kept[-1].text.strip():
        kept.pop()
    if kept:
        kept[-1] = kept[-1]._replace(text=kept[-1].text.rstrip())
    return kept


def paper_for(console: Console, unit: TapeUnit, currency: str = "") -> Paper:
    """
    Choose the characters that a console's encoding can show.

    Parameters
    ----------
    console
        Where the report goes; a pipe or a file counts as one.
    unit
        What the reader's tape shows.
    currency
        Written after amounts.
    """
    try:
        "".join((*astuple(BOX_MARKS),)).encode(console.encoding)
    except (UnicodeEncodeError, LookupError):
        return Paper(console, unit, PLAIN_MARKS, currency)
    return Paper(console, unit, BOX_MARKS, currency)
