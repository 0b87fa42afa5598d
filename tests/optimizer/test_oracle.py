"""The oracle itself, on cases small enough to see the answer."""

from __future__ import annotations

from oracle import cheapest, cheapest_cutting, fits_sheet, lay_outs, run_lay_outs

from optimizer.words import Part, Problem, Run, Saw, SeamRule, Stock, Support, Surface

NO_KERF = Saw(sheet=0, board=0)


def rectangles(*sizes: tuple[int, int]) -> tuple[tuple[int, int, bool], ...]:
    return tuple(sorted(((length, width, False) for length, width in sizes), reverse=True))


def test_a_pinwheel_takes_no_edge_to_edge_cut():
    """Four 3 x 2 around a hole fill 5 x 5, but no straight cut goes through; four in rows do fit 6 x 4."""
    wheel = ((3, 2, True),) * 4

    assert not fits_sheet(5, 5, wheel, 0)
    assert fits_sheet(6, 4, wheel, 0)


def test_three_stages_are_not_four():
    """A 4 x 4, cut rip, crosscut, rip, crosscut, yields what no three stages do."""
    # Rip 5 -> 1 + 4; crosscut the 4 -> 1 + 4; rip the 4 x 4 -> 1 + 3; crosscut the 4 x 3 -> 2 + 2.
    pieces = rectangles((5, 1), (1, 4), (4, 1), (2, 3), (2, 3))

    assert fits_sheet(5, 5, pieces, 0, stages=4)
    assert not fits_sheet(5, 5, pieces, 0, stages=3)


def test_kerf_lies_between_pieces_and_may_run_out():
    """Two 4s and a kerf of 1 need 9; one 8 needs 8 of 9, and the cut's kerf is the last ninth."""
    assert fits_sheet(9, 1, rectangles((4, 1), (4, 1)), 1)
    assert not fits_sheet(8, 1, rectangles((4, 1), (4, 1)), 1)
    assert fits_sheet(9, 1, rectangles((8, 1)), 2)


def test_a_turned_piece_needs_leave():
    """A 2 x 3 fits a 3 x 2 only if grain is free."""
    assert fits_sheet(3, 2, ((2, 3, True),), 0)
    assert not fits_sheet(3, 2, ((2, 3, False),), 0)


def test_boards_are_shared_out_cheapest():
    """3 + 3 + 2 + 2 takes two 5s at 7 (14) rather than one 10 at 15."""
    five, ten = Stock("five", "m", "board", 5, 1, 7), Stock("ten", "m", "board", 10, 1, 15)
    pieces = [(3, 0, False), (3, 0, False), (2, 0, False), (2, 0, False)]

    assert cheapest_cutting([five, ten], pieces, 0) == 14
    assert cheapest_cutting([Stock("one", "m", "board", 5, 1, 7, available=1), ten], pieces, 0) == 15
    assert cheapest_cutting([Stock("pair", "m", "board", 5, 1, 20, pack=2)], pieces, 0) == 20
    assert cheapest_cutting([Stock("short", "m", "board", 2, 1, 1)], pieces, 0) is None


def test_a_deck_is_laid_every_legal_way():
    """6 long, lines every 2, pieces up to what fits: one 6, 4 + 2, 2 + 4 or three 2s, in one course."""
    rule = SeamRule(gap=0, min_supports=2, shortest=2, stagger=0, narrowest=1)
    surface = Surface("s", "m", 6, 2, tuple(Support(at) for at in (0, 2, 4, 6)), rule)

    found = lay_outs(surface, [2], 1)

    assert {tuple(length for length, _, _ in pieces) for pieces, _ in found} == {(6,), (2, 4), (2, 2, 2)}


def test_stagger_parts_the_courses():
    """With a stagger of 2 the two courses may not both break at the one inner line."""
    rule = SeamRule(gap=0, min_supports=2, shortest=2, stagger=2, narrowest=1)
    surface = Surface("s", "m", 4, 2, tuple(Support(at) for at in (0, 2, 4)), rule)

    found = {tuple(length for length, _, _ in pieces) for pieces, _ in lay_outs(surface, [1], 1)}

    assert found == {(4, 4), (2, 2, 4)}


def test_plain_stacks_are_full_courses_and_a_ripped_one():
    """5 high from 3s is 3 + 2 and nothing else; any stack may also be 2 + 3 or 1 + 2 + 2."""
    rule = SeamRule(gap=0, min_supports=2, shortest=2, stagger=0, narrowest=1)
    surface = Surface("s", "m", 2, 5, (Support(0), Support(2)), rule)

    plain = {tuple(w for _, w, _ in pieces) for pieces, _ in lay_outs(surface, [1, 2, 3], 1, full=[3])}
    every = {tuple(w for _, w, _ in pieces) for pieces, _ in lay_outs(surface, [1, 2, 3], 1)}

    assert plain == {(2, 3)}
    assert every == {(2, 3), (1, 1, 3), (1, 2, 2), (1, 1, 1, 2), (1, 1, 1, 1, 1)}


def test_a_run_is_pieced_on_the_grid():
    """A 4 lapping 2 is a 4, or 3 + 3 with the seam in the middle; a 2 would cover nothing beside a 4."""
    run = Run("r", "m", 4, lap=2)

    assert run_lay_outs(run, 4, 1) == {((4, 0, False),), ((3, 0, False),) * 2}


def test_two_halves_share_a_sheet():
    """Two surfaces 4 x 1 on sheets of 4 x 2: one sheet does for both, at 9."""
    rule = SeamRule(gap=0, min_supports=2, shortest=2, stagger=0, narrowest=1)
    lines = tuple(Support(at) for at in (0, 2, 4))
    halves = tuple(Surface(label, "m", 4, 1, lines, rule) for label in ("front", "back"))
    sheet = Stock("sheet", "m", "sheet", 4, 2, 9)

    assert cheapest(Problem((sheet,), halves, saw=NO_KERF)) == 9
    assert cheapest(Problem((sheet,), halves, parts=(Part("p", "m", 1, 1),), saw=NO_KERF)) == 18
    assert cheapest(Problem((sheet,), halves, saw=Saw(sheet=1))) == 18
