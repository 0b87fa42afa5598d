"""Edge metal, fascia and rake boards along the roof's edges."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.errors import InputError
from optimizer.lengths import INCH
from takeoff.building import building_of
from takeoff.edges import edge_needs, rake_slant
from takeoff.job import parse_job
from takeoff.sizes import standard_book


def needs(book=None, **keys):
    """Take off a roof 16 x 10 ft at 9 in 12: half span 60 + eave 12 = 72, slope 72 x 15 / 12 = 90 in."""
    job = parse_job({"length": "16 ft", "width": "10 ft", "pitch": 9, **keys}, "job.toml")
    book = book or standard_book()
    return edge_needs(job, building_of(job, book), book)


def lengths(found, ending):
    return [run.length / INCH for run in found.runs if run.label.endswith(ending)]


def levels(found, rule):
    return [check.level for check in found.checks if check.rule == rule]


def test_eave_metal_runs_past_both_corners():
    """192 + 2 x 3 in at each eave, lapped 2 in, no piece under 12 in."""
    found = needs()

    assert lengths(found, "eave metal") == [198, 198]
    assert {(run.lap / INCH, run.shortest / INCH, run.seams) for run in found.runs} == {(2, 12, None)}


def test_only_the_first_half_folds_its_rake_metal():
    """Slope 90 in: the first half's two pieces fold 3 in over the peak, the second's are trimmed there."""
    found = needs()

    assert lengths(found, "rake metal") == [93, 93, 90, 90]


def test_metal_covers_the_boards():
    """With boards 3/4 in thick on flush rakes, eaves are 192 + 1-1/2 + 6 in long."""
    assert lengths(needs(rake_board={}), "eave metal") == [199.5, 199.5]


def test_eave_and_rake_may_have_profiles_of_their_own():
    """Two materials where the job names two; the rakes follow the eave where it names one."""
    found = needs(drip_edge={"rake": "head-flashing"})

    assert {run.material for run in found.runs if "rake" in run.label} == {"head-flashing"}
    assert {run.material for run in found.runs if "eave" in run.label} == {"drip-edge"}


def test_single_slope_has_a_high_edge():
    """One plane: its eave, two rakes without a fold, and the high edge with metal and fascia of its own."""
    found = needs(roof="single-slope", fascia={}, eave_overhang="12 in")

    # Run 120 + two overhangs of 12 = 144 on plan, times 15 / 12.
    assert lengths(found, "rake metal") == [180, 180]
    assert lengths(found, "eave metal") == lengths(found, "high edge metal") == [198]
    assert lengths(found, "eave fascia") == lengths(found, "high edge fascia") == [192]


@pytest.mark.parametrize(("keys", "words"), [({}, "goes on last"), ({"high": False}, "cut off plumb")])
def test_high_edge_without_metal_ends_the_rakes(keys, words):
    """The rakes are told how to end: under the high edge's metal, or cut off where it has none."""
    found = needs(roof="single-slope", drip_edge=keys)
    (note,) = (check.message for check in found.checks if check.rule == "rake metal")

    assert words in note
    assert lengths(found, "high edge metal") == ([] if keys else [198])


def test_eave_metal_comes_before_rake_metal():
    """Underlayment goes over the eave's metal and under the rake's; boards come before both."""
    found = needs(fascia={}, rake_board={})
    first = {
        what: min(r.needed for r in found.runs if what in r.label) for what in ("fascia", "eave m", "rake m")
    }

    assert first["fascia"] < first["eave m"] < first["rake m"]


def test_short_fascia_is_one_piece():
    """A 16 ft fascia comes from a 20 ft board, so it has no joint."""
    (first, second) = needs(fascia={}).runs[-2:]

    assert first.seams == second.seams == ()
    assert first.lap == 0


def test_long_fascia_joints_fall_on_rafter_tails():
    """30 ft of fascia: joints on the rafters between the ends, none on the outer ones."""
    found = needs(length="30 ft", fascia={})
    run = next(run for run in found.runs if run.label.endswith("fascia"))

    assert [seam / INCH for seam in run.seams] == [24 * n for n in range(1, 15)]
    assert run.length == 360 * INCH


def test_fascia_lies_between_the_rake_boards():
    """Rakes 12 in out to the face of 3/4 in boards: fascia 360 + 2 x 11-1/4, tails counted from its end."""
    found = needs(length="30 ft", rake_overhang="12 in", fascia={}, rake_board={}, deck_to="fascia")
    run = next(run for run in found.runs if run.label.endswith("fascia"))

    assert run.length / INCH == 360 + 22.5
    # The first seam lies on the gable rafter: 11.25 + 0.75 in; the next is 24 in from the corner.
    assert [seam / INCH for seam in run.seams[:2]] == [12, 35.25]


def test_rake_boards_are_long_point_to_long_point():
    """A 5-1/2 in board at 9 in 12: slant 5.5 x 9 / 12 = 4-1/8 in, on top of the slope; two boards a half."""
    found = needs(rake_board={})
    first, second = found.parts

    assert (first.count, second.count) == (2, 2)
    assert first.slant / INCH == 4.125
    assert first.length / INCH == 90 + 4.125


def test_square_foot_does_not_slant():
    """The plumb cut at the peak has its long point on the upper edge, which is as long as the slope."""
    part = needs(rake_board={"foot": "square"}).parts[0]

    assert (part.length / INCH, part.slant) == (90, 0)


def test_rake_foot_follows_the_tails():
    """Square tails give a square foot unless the job says otherwise."""
    assert needs(rake_board={}, tails="square").parts[0].slant == 0
    assert needs(rake_board={"foot": "plumb"}, tails="square").parts[0].slant > 0


def test_slant_is_width_times_rise_over_run():
    """45 degrees: as far as the board is wide."""
    job = parse_job({"length": "16 ft", "width": "10 ft", "pitch": 12}, "job.toml")

    assert rake_slant(100, building_of(job, standard_book()).pitch) == 100


def test_long_rake_is_jointed():
    """A rake longer than any board becomes a run for each board."""
    found = needs(length="40 ft", width="40 ft", rake_board={})

    assert not found.parts
    # Half span 240 + 12 = 252, times 15 / 12 = 315, and the slant.
    assert lengths(found, "rake board") == [319.125] * 4
    # A joint cut plumb takes the slant once more.
    assert {run.lap / INCH for run in found.runs if run.label.endswith("rake board")} == {4.125}
    assert levels(found, "rake board joints") == ["note"]


def test_labels_and_marks_are_unique():
    """Every run can be told from every other by its label and by its mark."""
    found = needs(length="30 ft", fascia={}, rake_board={}, width="40 ft")

    assert len({run.label for run in found.runs}) == len({run.mark for run in found.runs}) == len(found.runs)


@pytest.mark.parametrize(
    ("keys", "level"), [({}, "pass"), ({"eave": False}, "warn"), ({"rake": False}, "warn")]
)
def test_bare_edges_warn(keys, level):
    """Shingle roofs have metal at eaves and rakes (IRC R905.2.8.5, secondary)."""
    assert levels(needs(drip_edge=keys), "edge metal") == [level]


def test_no_metal_at_all():
    """With `eave = false` the rakes, which follow the eave, have none either."""
    found = needs(drip_edge={"eave": False})

    assert not found.runs
    assert levels(found, "edge metal lap") == []


@pytest.mark.parametrize(("lap", "level"), [("2 in", "pass"), ("1-15/16 in", "warn")])
def test_short_lap_warns(lap, level):
    """Pieces of edge metal lap 2 in or more (IRC R905.2.8.5, secondary)."""
    assert levels(needs(drip_edge={"lap": lap}), "edge metal lap") == [level]


def test_lap_as_long_as_a_stick_is_refused():
    """Such pieces would never get along the edge."""
    with pytest.raises(
        InputError, match=r"drip_edge\.lap: a lap of .* leaves nothing of a stick of drip-edge"
    ):
        needs(drip_edge={"lap": "10 ft"})


def test_price_book_without_the_metal_is_refused():
    """The message names the key that asks for it."""
    book = standard_book()
    bare = replace(book, items=tuple(item for item in book.items if item.material != "drip-edge"))

    with pytest.raises(InputError, match=r"drip_edge\.eave"):
        needs(bare)


def test_what_is_left_out_is_assumed():
    """No fascia, no rake boards and the lap are assumptions; what the job gives is not."""
    assert [a.key for a in needs().assumptions] == ["drip_edge.lap", "fascia", "rake_board"]
    assert not needs(drip_edge={"lap": "2 in"}, fascia={}, rake_board={}).assumptions


def test_a_hip_is_not_asked_for_rake_boards():
    """What a roof has no place for is no assumption."""
    for roof, told in (("gable", True), ("hip", False)):
        assert ("rake_board" in {assumption.key for assumption in needs(roof=roof).assumptions}) == told


def test_trim_may_be_jointed_where_that_saves():
    """Boards long enough for the whole edge: in one piece, unless the job allows joints."""
    data = {"length": "13 ft", "width": "8 ft", "pitch": 6, "fascia": {}, "rake_board": {}}
    book = standard_book()
    whole = parse_job(data, "job.toml")
    free = parse_job(
        {**data, "fascia": {"joints": "on tails"}, "rake_board": {"joints": "anywhere"}}, "job.toml"
    )
    one, other = (edge_needs(job, building_of(job, book), book) for job in (whole, free))

    assert {run.seams for run in one.runs if "fascia" in run.label} == {()}
    assert all(run.seams for run in other.runs if "fascia" in run.label)
    assert [part.label for part in one.parts if "rake board" in part.label]
    assert not [part.label for part in other.parts if "rake board" in part.label]
    assert sum(run.seams is None and run.label.endswith("board") for run in other.runs) == 4
