"""A whole report built by hand: a 16 ft roof of two halves, a door skin, casing, stops and drip edge."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from cli.report import Bill, BuyLine, Comparison, Report, RuleCost, Trial
from optimizer.lengths import INCH, parse_length
from optimizer.plan import (
    Bought,
    Course,
    Cut,
    CutPiece,
    LaidPiece,
    Leftover,
    Outcome,
    Plan,
    SawCut,
)
from optimizer.words import Part, Problem, Run, Saw, SeamRule, Stock, Support, Surface
from takeoff.book import Book, Item
from takeoff.needs import Assumption, Check, Takeoff, View

__all__ = ["at", "roof_cuts", "sample_report"]

KERF = INCH // 8
RULE = SeamRule(KERF, 3, 48 * INCH, 24 * INCH, 24 * INCH)


def at(text: str) -> int:
    """Read inches."""
    return parse_length(text, "in")


LONG, WIDE, STRIP, SHORT = at("95-7/8"), at("47-7/8"), at("23-7/8"), at("47-7/8")
RIP = SawCut("rip", 0, 0, LONG, WIDE, STRIP)
HALVE_NEAR = SawCut("crosscut", 0, 0, LONG, STRIP, SHORT)
HALVE_FAR = SawCut("crosscut", 0, STRIP + KERF, LONG, STRIP, SHORT)


def whole(identity: str, label: str) -> Cut:
    piece = CutPiece(label, 0, 0, LONG, WIDE)
    return Cut(identity, "osb-7/16 4x8", LONG, WIDE, KERF, (piece,), ())


def roof_cuts() -> tuple[Cut, ...]:
    """Cut both halves from six sheets; the second half's ridge course comes from the first one's offcuts."""
    above = STRIP + KERF
    ridge_long = Cut(
        "S3",
        "osb-7/16 4x8",
        LONG,
        WIDE,
        KERF,
        (CutPiece("A2.2", 0, 0, LONG, STRIP), CutPiece("B2.2", 0, above, LONG, STRIP)),
        (RIP,),
        tight=True,
    )
    right = SHORT + KERF
    ridge_short = Cut(
        "S4",
        "osb-7/16 4x8",
        LONG,
        WIDE,
        KERF,
        (
            CutPiece("A2.1", 0, 0, SHORT, STRIP),
            CutPiece("A2.3", right, 0, SHORT, STRIP),
            CutPiece("B2.1", 0, above, SHORT, STRIP),
            CutPiece("B2.3", right, above, SHORT, STRIP),
        ),
        (RIP, HALVE_NEAR, HALVE_FAR),
        tight=True,
    )
    return (
        whole("S1", "A1.1"),
        whole("S2", "A1.2"),
        ridge_long,
        ridge_short,
        whole("S5", "B1.1"),
        whole("S6", "B1.2"),
    )


def half_courses(plane: str, mark: str) -> tuple[Course, ...]:
    supports = tuple(24 * INCH * place for place in range(9))
    gap = KERF // 2
    length = 192 * INCH

    def laid(course: int, bounds: Sequence[int]) -> tuple[LaidPiece, ...]:
        return tuple(
            LaidPiece(f"{mark}{course}.{place}", start + gap, end - gap)
            for place, (start, end) in enumerate(pairwise(bounds), 1)
        )

    middle = (0, 96 * INCH, length)
    thirds = (0, 48 * INCH, 144 * INCH, length)
    return (
        Course(f"{plane} 1", plane, 1, length, WIDE, 0, supports, middle[1:-1], laid(1, middle)),
        Course(f"{plane} 2", plane, 2, length, STRIP, 48 * INCH, supports, thirds[1:-1], laid(2, thirds)),
    )


def door_cut() -> tuple[Cut, Leftover, Leftover]:
    long, wide = at("71-1/2"), at("35-1/2")
    cut = Cut(
        "S7",
        "osb-7/16 4x8",
        LONG,
        WIDE,
        KERF,
        (CutPiece("door back", 0, 0, long, wide),),
        (SawCut("crosscut", 0, 0, LONG, WIDE, long), SawCut("rip", 0, 0, long, WIDE, wide)),
    )
    right = Leftover("osb-7/16 4x8", LONG - long - KERF, WIDE, "S7", long + KERF, 0)
    strip = Leftover("osb-7/16 4x8", long, WIDE - wide - KERF, "S7", 0, wide + KERF)
    return cut, right, strip


def lumber() -> tuple[tuple[Cut, ...], tuple[Leftover, ...]]:
    """Cut two casing legs, each from a board of its own, and two stops from a board ripped in half."""
    long, wide, leg, lane = at("96"), at("3-1/2"), at("84"), at("1-11/16")
    legs = Cut(
        "W1",
        "2x4 8 ft",
        long,
        wide,
        KERF,
        (CutPiece("casing leg", 0, 0, leg, wide),),
        (SawCut("crosscut", 0, 0, long, wide, leg),),
        repeat=2,
    )
    stop = at("83")
    stops = Cut(
        "W2",
        "2x4 8 ft",
        long,
        wide,
        KERF,
        (
            CutPiece("side stop", 0, 0, stop, lane),
            CutPiece("side stop", 0, lane + KERF, stop, lane),
        ),
        (SawCut("crosscut", 0, 0, long, wide, stop), SawCut("rip", 0, 0, stop, wide, lane)),
    )
    rest = Leftover("2x4 8 ft", long - stop - KERF, wide, "W2", stop + KERF, 0)
    return (legs, stops), (rest,)


def metal() -> tuple[tuple[Cut, ...], tuple[Course, ...], tuple[Leftover, ...]]:
    """Cover two eaves of 16 ft 6 in from three sticks of 10 ft, 2 in laps."""
    stick, need, lap = at("120"), at("198"), at("2")
    short = need - stick + lap
    whole_stick = [
        Cut(f"M{place}", "drip-edge 10 ft", stick, 0, 0, (CutPiece(f"{mark}.1", 0, 0, stick, 0),), ())
        for place, mark in ((1, "EA"), (2, "EB"))
    ]
    split = [
        Cut(
            f"M{place}",
            "drip-edge 10 ft",
            stick,
            0,
            0,
            (CutPiece(f"{mark}.2", 0, 0, short, 0),),
            (SawCut("crosscut", 0, 0, stick, 0, short),),
        )
        for place, mark in ((3, "EA"), (4, "EB"))
    ]
    runs = tuple(
        Course(
            f"eave drip edge, {side}",
            "",
            0,
            need,
            0,
            0,
            (),
            (stick - lap // 2,),
            (LaidPiece(f"{mark}.1", 0, stick), LaidPiece(f"{mark}.2", stick - lap, need)),
        )
        for side, mark in (("door side", "EA"), ("far side", "EB"))
    )
    kept = tuple(Leftover("drip-edge 10 ft", stick - short, 0, cut.id, short, 0) for cut in split)
    return (*whole_stick, *split), runs, kept


def takeoff(surfaces: tuple[Surface, ...], runs: tuple[Run, ...], parts: tuple[Part, ...]) -> Takeoff:
    return Takeoff(
        title="Cider house",
        unit="in",
        surfaces=surfaces,
        runs=runs,
        parts=parts,
        counts=(),
        saw=Saw(),
        dimensions=(("length", at("192")), ("slope", at("72"))),
        checks=(
            Check(
                "pass",
                "panel span",
                "IRC R503.2.1.1",
                "a 24/16 panel may span 24 in; rafters stand 24 in apart",
            ),
            Check(
                "warn",
                "ridge course",
                "common practice, no source",
                "the top course is 24 in wide, the least allowed",
            ),
        ),
        assumptions=(
            Assumption("roof.eave_overhang", "12 in", "Eaves overhang 12 in, to the finished face.", "16 in"),
            Assumption("rule.set", "usual", "The usual rules hold."),
        ),
        steps=(
            "Deck the eave course of the door side from a snapped line.",
            "Leave the braces up until both halves are decked.",
        ),
        measure=(
            ("ridge board, end to end", at("192")),
            *(
                (f"{side}: {name}", at(planned))
                for side in ("door side", "far side")
                for name, planned in (
                    ("slope at the left end", "72"),
                    ("slope at the right end", "72"),
                    ("diagonal, lower left to upper right", "205-1/16"),
                    ("diagonal, lower right to upper left", "205-1/16"),
                )
            ),
            ("door side: barge rafters straight", None),
        ),
        cautions=(("Sweep sawdust off the deck before you step on it.", "common practice, no source"),),
        planes=tuple(
            View(s.label, f"side {s.mark}, seen looking up from its eave", "the eave", "ridge", "the rafters")
            for s in surfaces
        ),
    )


def question() -> Problem:
    stocks = (
        Stock("osb-7/16 4x8", "osb-7/16", "sheet", LONG, WIDE, 1460),
        Stock("2x4 8 ft", "2x4", "board", at("96"), at("3-1/2"), 385),
        Stock("drip-edge 10 ft", "drip-edge", "stick", at("120"), 0, 790),
    )
    supports = tuple(Support(24 * INCH * place) for place in range(9))
    surfaces = tuple(
        Surface(plane, "osb-7/16", 192 * INCH, 72 * INCH, supports, RULE, mark=mark)
        for plane, mark in (("door side", "A"), ("far side", "B"))
    )
    runs = tuple(
        Run(f"eave drip edge, {side}", "drip-edge", at("198"), at("2"), at("12"), mark=mark)
        for side, mark in (("door side", "EA"), ("far side", "EB"))
    )
    parts = (
        Part("door back", "osb-7/16", at("71-1/2"), at("35-1/2")),
        Part("casing leg", "2x4", at("84"), count=2),
        Part("side stop", "2x4", at("83"), at("1-11/16"), count=2),
    )
    return Problem(stocks, surfaces, runs, parts)


def sample_report() -> Report:
    """Give a report with something in each of its five parts."""
    problem = question()
    door, *door_rests = door_cut()
    boards, board_rests = lumber()
    sticks, runs, stick_rests = metal()
    lay = (*half_courses("door side", "A"), *half_courses("far side", "B"), *runs)
    family = "saw cuts of up to 3 stages"
    plan = Plan(
        buy=(
            Bought("osb-7/16 4x8", 8, 7, 1460, 11680, spare=1),
            Bought("2x4 8 ft", 3, 3, 385, 1155),
            Bought("drip-edge 10 ft", 4, 4, 790, 3160),
        ),
        cut=(*roof_cuts(), door, *boards, *sticks),
        lay=lay,
        keep=(*door_rests, *board_rests, *stick_rests),
        outcomes=(
            Outcome(
                "osb-7/16",
                10220,
                10220,
                True,
                family,
                ("HiGHS", "CP-SAT"),
                levels=(("slack", "proved"), ("set-ups", "best found")),
            ),
            Outcome("2x4", 1155, 1155, True, "", ("HiGHS", "CP-SAT")),
            Outcome("drip-edge", 3160, 3100, False, "", ("HiGHS",)),
        ),
        total=15995,
        bound=15935,
        pieces=14,
    )
    taken = takeoff(problem.surfaces, problem.runs, problem.parts)
    return Report(
        takeoff=taken,
        book=Book(
            (
                Item("osb-7/16", "4x8", "sheet", LONG, WIDE, weight=20400, price=1460, returnable=True),
                Item("2x4", "8 ft", "board", at("96"), at("3-1/2"), weight=4200, price=385),
                Item("drip-edge", "10 ft", "stick", at("120"), price=790),
            ),
            currency="USD",
        ),
        problem=problem,
        plan=plan,
        bill=Bill(
            lines=(
                BuyLine("osb-7/16 4x8", "4x8", 7, 1, 1460, 10220, 142800),
                BuyLine("osb-7/16 4x8", "4x8", 1, 1, 1460, 1460, 20400, spare=True, returnable=True),
                BuyLine("2x4 8 ft", "8 ft", 3, 1, 385, 1155, 12600),
                BuyLine("drip-edge 10 ft", "10 ft", 4, 1, 790, 3160, None),
            ),
            subtotal=15995,
            tax_percent="6",
            tax=960,
            total=16955,
            weight=175800,
            unweighed=("drip-edge 10 ft",),
            longest=("drip-edge 10 ft", at("120")),
            heaviest=("A1.1", "osb-7/16 4x8", 20400),
            unopened=(("osb-7/16 4x8", 1),),
        ),
        comparisons=(
            Comparison(
                "the halves planned apart", "each half bought for on its own", 8, 11680, 1, 1460, True
            ),
            Comparison(
                "area plus 10 %",
                "the area, a tenth more",
                8,
                11680,
                1,
                1460,
                False,
                "no lay-out stands behind it",
            ),
        ),
        rule_costs=(
            RuleCost("lean", False, 7, 10220, 0, 0, True),
            RuleCost("usual", True, 7, 10220, 0, 0, True),
            RuleCost("windy", False, 9, 13140, 2, 2920, True),
        ),
        trials=(
            Trial(taken.assumptions[0], True, "+1 osb-7/16 4x8, +14.60"),
            Trial(taken.assumptions[1], None),
        ),
        remark="Prices are invented.",
        seconds=0.4,
    )
