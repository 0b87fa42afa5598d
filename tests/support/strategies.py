"""Random problems: roofs as they are built, and tiny ones that the oracle can try out whole."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume
from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy, composite

from optimizer.lengths import INCH
from optimizer.words import Count, Part, Problem, Run, Saw, SeamRule, Stock, Support, Surface

__all__ = ["RULES", "lengths_jobs", "roofs", "sheets_jobs", "tiny_decks", "tiny_lengths", "tiny_sheets"]

GAP = INCH // 8
SPACINGS = (12 * INCH, 16 * INCH, 96 * INCH // 5, 24 * INCH)
"""16 and 19.2 in divide a panel as 24 in does not; every one is drawn as often."""

_USUAL = SeamRule(
    gap=GAP,
    min_supports=3,
    shortest=24 * INCH,
    stagger=24 * INCH,
    narrowest=24 * INCH,
    end_slack=INCH // 4,
    top_slack=INCH // 2,
)
RULES = {
    "usual": _USUAL,
    "lean": replace(_USUAL, min_supports=2, narrowest=12 * INCH, blocked_below=24 * INCH),
    "windy": replace(_USUAL, stagger=48 * INCH, shortest=48 * INCH),
}

_PANELS = tuple(
    Stock(f"panel 4x{feet}", "panel", "sheet", 12 * feet * INCH - GAP, 48 * INCH - GAP, price)
    for feet, price in ((8, 1650), (9, 1990), (10, 2240))
)
_STUDS = tuple(
    Stock(f"2x4 {feet} ft", "2x4", "board", 12 * feet * INCH, 7 * INCH // 2, price)
    for feet, price in ((8, 385), (10, 520), (12, 610))
)
_METAL = (Stock("metal 10 ft", "metal", "stick", 120 * INCH, price=890),)
_NAILS = (
    Stock("nails 1 lb", "nails", "each", price=640, pack=140),
    Stock("nails 5 lb", "nails", "each", price=2350, pack=700),
)


def _rafters(length: int, spacing: int, overhang: int, bears: bool) -> tuple[Support, ...]:
    """Set rafters from the left gable wall on, the last bay what remains, a barge at each rake's edge."""
    half = 3 * INCH // 4
    wall = [overhang + half, length - overhang - half]
    inner = range(overhang + spacing, wall[1] - 3 * INCH, spacing)
    lines = [Support(wall[0], seam=not overhang), *map(Support, inner), Support(wall[1], seam=not overhang)]
    if overhang:
        barges = (Support(at, bears=bears, seam=False) for at in (half, length - half))
        lines.extend(barges)
    return tuple(sorted(lines, key=lambda line: line.at))


@composite
def roofs(
    draw: DrawFn,
    longest: int = 26,
    rules: tuple[str, ...] = ("usual", "lean", "windy"),
    halves: tuple[int, ...] = (1, 2),
) -> Problem:
    """
    Draw one or two halves of a roof, `longest` feet at most, decked with one to three sizes of panel.

    Two halves are mostly equal. A narrow course of a lean roof is blocked with pieces of 2x4.
    """
    spacing = draw(st.sampled_from(SPACINGS))
    overhang = draw(st.sampled_from((0, 6, 12))) * INCH
    length = draw(st.integers(6, longest)) * 12 * INCH + 2 * overhang
    name = draw(st.sampled_from(rules))
    rule = RULES[name]
    lines = _rafters(length, spacing, overhang, bears=name == "lean")
    heights = [draw(st.integers(100, 420)) * INCH // 4]
    if draw(st.sampled_from(halves)) == 2:
        heights.append(draw(st.sampled_from((heights[0], heights[0], heights[0] + 15 * INCH))))
    blocking = (Part("blocking", "2x4", spacing - 3 * INCH // 2, count=4),) if rule.blocked_below else ()
    surfaces = tuple(
        Surface(label, "panel", length, height, lines, rule, blocking, mark)
        for (label, mark), height in zip((("front", "F"), ("back", "B")), heights, strict=False)
    )
    panels = _PANELS[: draw(st.integers(1, 3))]
    parts = draw(st.sampled_from(((), (Part("door back", "panel", 76 * INCH, 30 * INCH),))))
    return Problem((*panels, *_STUDS), surfaces, parts=parts)


def _inches(low: int, high: int) -> SearchStrategy[int]:
    """Draw eighths of an inch."""
    return st.integers(8 * low, 8 * high).map(lambda eighths: eighths * INCH // 8)


@composite
def lengths_jobs(draw: DrawFn) -> Problem:
    """Draw a shed's trim: studs of several lengths, edge metal with laps, boards jointed on rafter tails."""
    studs = tuple(
        Part(f"leg {i}", "2x4", draw(_inches(6, 96)), count=draw(st.integers(1, 6)))
        for i in range(draw(st.integers(1, 4)))
    )
    rake = Part("rake", "2x4", draw(_inches(40, 96)), count=2, slant=draw(st.sampled_from((0, 2 * INCH))))
    eaves = tuple(
        Run(f"eave {i}", "metal", draw(_inches(30, 300)), 2 * INCH, 12 * INCH, None, f"E{i}", i)
        for i in range(draw(st.integers(0, 3)))
    )
    tails = draw(st.integers(2, 9))
    fascia = Run(
        "fascia", "2x4", tails * 24 * INCH, seams=tuple(24 * INCH * i for i in range(1, tails)), mark="A"
    )
    nails = Count("nails", "nails", draw(st.integers(1, 3000)))
    return Problem((*_STUDS, *_METAL, *_NAILS), (), (*eaves, fascia), (*studs, rake), (nails,))


@composite
def sheets_jobs(draw: DrawFn) -> Problem:
    """Draw rectangles for sheets of one or two sizes, some of which may turn."""
    parts = tuple(
        Part(
            f"skin {i}",
            "panel",
            draw(_inches(4, 90)),
            draw(_inches(3, 46)),
            draw(st.integers(1, 4)),
            draw(st.booleans()),
        )
        for i in range(draw(st.integers(1, 5)))
    )
    return Problem(_PANELS[: draw(st.integers(1, 2))], parts=parts)


TINY = 3 * INCH
"""A step of the tiny problems: the gap, the kerf and every length are whole steps, or nothing."""


@composite
def tiny_decks(draw: DrawFn) -> Problem:
    """Draw one or two surfaces of a few steps, small enough to try every lay-out and every cut."""
    step = draw(st.sampled_from((1, 2, 3)))
    bays = draw(st.integers(2, 4 if step < 3 else 3))
    length = step * bays
    gap = 2 * draw(st.integers(0, 1)) if step > 2 else 0
    sheets = tuple(
        Stock(
            f"sheet {i}",
            "panel",
            "sheet",
            long * TINY,
            wide * TINY,
            7 * long * wide - draw(st.integers(0, 9)),
        )
        for i, (long, wide) in enumerate(
            draw(
                st.lists(st.tuples(st.integers(3, 7), st.integers(2, 4)), min_size=1, max_size=2, unique=True)
            )
        )
    )
    rule = SeamRule(
        gap=gap * TINY,
        min_supports=draw(st.integers(2, 3)),
        # Measured with one gap, as the rule has it: at least a step of wood.
        shortest=(gap + draw(st.integers(1, 3))) * TINY,
        stagger=draw(st.integers(0, 2)) * step * TINY,
        narrowest=(gap + draw(st.integers(1, 2))) * TINY,
        end_slack=draw(st.integers(0, 1)) * TINY,
        top_slack=draw(st.integers(0, 1)) * TINY,
    )
    lines = tuple(Support(at * TINY) for at in range(0, length + 1, step))
    heights = draw(st.lists(st.integers(2, 5), min_size=1, max_size=2))
    # What the oracle can still try out: so many pieces at most.
    narrowest, shortest = (number // TINY - gap for number in (rule.narrowest, rule.shortest))
    most = sum(height // narrowest for height in heights) * (length // max(shortest, step))
    assume(most <= 10)
    surfaces = tuple(
        Surface(label, "panel", length * TINY, height * TINY, lines, rule, mark=label)
        for label, height in zip("FB", heights, strict=False)
    )
    parts = draw(
        st.lists(
            st.builds(
                lambda long, wide, turn: Part(
                    f"p{long}{wide}{turn}", "panel", long * TINY, wide * TINY, 1, turn
                ),
                st.integers(1, 3),
                st.integers(1, 2),
                st.booleans(),
            ),
            max_size=1,
        )
    )
    return Problem(sheets, surfaces, parts=tuple(parts), saw=Saw(sheet=draw(st.integers(0, 1)) * TINY))


@composite
def tiny_lengths(draw: DrawFn) -> Problem:
    """Draw a few lengths, and a run with or without places for its seams, for bars of a few steps."""
    sizes = sorted(draw(st.sets(st.integers(4, 12), min_size=1, max_size=3)))
    bars = tuple(
        Stock(
            f"bar {long}",
            "2x4",
            "board",
            long * TINY,
            TINY,
            draw(st.integers(1, 20)),
            draw(st.sampled_from((None, None, 1, 2))),
            draw(st.sampled_from((1, 1, 2))),
        )
        for long in sizes
    )
    lengths = draw(st.lists(st.integers(1, min(9, sizes[-1])), max_size=4))
    parts = tuple(Part(f"leg {i}", "2x4", long * TINY) for i, long in enumerate(lengths))
    runs = []
    for i in range(draw(st.integers(0 if parts else 1, 2))):
        long = draw(st.integers(3, 9))
        seams = draw(st.none() | st.sets(st.integers(1, long - 1), max_size=4))
        runs.append(
            Run(
                f"run {i}",
                "2x4",
                long * TINY,
                2 * draw(st.integers(0, 1)) * TINY,
                draw(st.integers(0, 2)) * TINY,
                None if seams is None else tuple(at * TINY for at in sorted(seams)),
                f"R{i}",
            )
        )
    return Problem(bars, runs=tuple(runs), parts=parts, saw=Saw(board=draw(st.integers(0, 1)) * TINY))


@composite
def tiny_sheets(draw: DrawFn) -> Problem:
    """Draw up to six rectangles for sheets of a few steps."""
    sheets = tuple(
        Stock(
            f"sheet {long}x{wide}",
            "panel",
            "sheet",
            long * TINY,
            wide * TINY,
            5 * long * wide + draw(st.integers(0, 30)),
            draw(st.sampled_from((None, None, 1))),
        )
        for long, wide in sorted(
            draw(st.sets(st.tuples(st.integers(4, 9), st.integers(3, 6)), min_size=1, max_size=2))
        )
    )
    long, wide = (min(number, 6) for number in (sheets[-1].length // TINY, sheets[-1].width // TINY))
    sizes = draw(
        st.lists(st.tuples(st.integers(1, long), st.integers(1, wide), st.booleans()), min_size=1, max_size=6)
    )
    parts = tuple(
        Part(f"skin {i}", "panel", long * TINY, wide * TINY, 1, turn)
        for i, (long, wide, turn) in enumerate(sizes)
    )
    return Problem(sheets, parts=parts, saw=Saw(sheet=draw(st.integers(0, 1)) * TINY))
