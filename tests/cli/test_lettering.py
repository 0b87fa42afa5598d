"""Letters in drawings lie inside the piece they name."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from cli.site.lettering import place_in


def _inside(corners, x, y):
    """Tell whether a point is inside a convex shape, or within a hair of its edge."""
    signs = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        signs.append((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0))
    return min(signs) >= -1.0 or max(signs) <= 1.0


@given(
    left=st.integers(0, 900),
    right=st.integers(0, 900),
    base=st.integers(100, 1000),
    height=st.integers(60, 600),
    words=st.sampled_from(["D1.1", "O12.3", "57-3/16 x 47-7/8 in"]),
)
def test_text_stays_inside_a_slanting_piece(left, right, base, height, words):
    """All four corners of the text's box are inside the piece, whichever way its ends slant."""
    corners = ((left, 0), (left + base, 0), (right + base, height), (right, height))
    found = place_in(corners, (), [words], 60.0, 2.0)

    if found is not None:
        x, y, size = found
        wide, high = 0.6 * size * len(words), size
        assert all(
            _inside(corners, x + side * wide / 2, y + up * high / 2) for side in (-1, 1) for up in (-1, 1)
        )


def test_text_fits_a_triangle_below_its_middle():
    """In a triangle that stands on its base there is more room below the middle of its height."""
    found = place_in(((0, 0), (480, 0), (240, 480)), (), ["D1.1", "36 x 36 in"], 60.0, 2.0)

    assert found is not None
    assert found[1] < 240
    assert found[2] > 20


def test_text_keeps_clear_of_an_opening():
    """The label of a panel with a door in it stands beside the door."""
    square = ((0, 0), (480, 0), (480, 480), (0, 480))
    found = place_in(square, ((0, 0, 480, 300),), ["WA1.1"], 40.0, 2.0)

    assert found is not None
    _, y, size = found
    assert y - size / 2 >= 300


def test_what_fits_in_no_size_is_left_out():
    """A sliver carries no letters."""
    assert place_in(((0, 0), (480, 0), (480, 3)), (), ["WA1.1"], 40.0, 4.0) is None
