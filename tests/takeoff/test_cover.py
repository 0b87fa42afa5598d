"""The cover as a whole: every layer on any roof, in the order it goes on, nothing left out in silence."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.engine import Clock
from optimizer.solve import cheapest_plan
from optimizer.words import Problem
from takeoff.building import building_of
from takeoff.collect import take_off
from takeoff.cover import cover_needs
from takeoff.sizes import standard_book

ALL = {
    "underlayment": {},
    "ice_barrier": {},
    "starter": {},
    "shingles": {},
    "ridge_slot": {},
    "ridge_vent": {},
    "ridge_cap": {},
}


def needs(book=None, **keys):
    book = book or standard_book()
    job = job_of(**keys)
    return cover_needs(job, building_of(job, book), book)


def test_nothing_without_a_table():
    """A job that names no layer gets none."""
    found = needs()

    assert (found.runs, found.parts, found.counts, found.checks, found.steps) == ((), (), (), (), ())


def test_layers_are_wanted_in_the_order_they_go_on():
    """Barrier, felt, then caps' strips, starter, shingles and vent; eave metal before, rake metal between."""
    found = take_off(job_of(**ALL), standard_book())
    wanted = {run.label: run.needed for run in found.runs}

    order = [
        wanted["door side eave metal"],
        wanted["door side ice barrier, course 1"],
        wanted["door side underlayment, course 1"],
        wanted["door side left rake metal"],
        wanted["door side starter"],
        wanted["door side shingles, course 1"],
        wanted["ridge vent"],
    ]
    assert order == sorted(set(order))


def test_the_order_of_work_names_every_layer():
    """After the deck: barrier, underlayment, starter, shingles, vent, caps."""
    words = [step.words for step in sorted(needs(**ALL).steps, key=lambda step: step.when)]

    for told, word in zip(
        words, ("barrier", "underlayment", "Starter", "courses", "vent", "Cap"), strict=True
    ):
        assert word in told


def test_nails_have_waste_on_top_and_caps_have_none():
    """20 % more nails, and as many caps as the ridge takes."""
    keys = ALL | {"ridge_cap": {"material": "ridge-cap"}}
    plain = {c.label: c.quantity for c in needs(fastener={"waste_percent": 0}, **keys).counts}
    wasted = {c.label: c.quantity for c in needs(**keys).counts}

    assert {label for label in plain if wasted[label] != -(-plain[label] * 6 // 5)} == {"ridge caps"}
    assert wasted["ridge caps"] == plain["ridge caps"]


def test_what_the_book_lacks_is_told():
    """Cap nails that can't be bought are named, with how many."""
    book = standard_book()
    short = replace(book, items=tuple(item for item in book.items if item.material != "cap-nail"))
    found = needs(short, **ALL)

    assert "cap-nail" not in {count.material for count in found.counts}
    (told,) = (c.message for c in found.checks if c.rule == "not in the price book")
    assert "'cap-nail'" in told


def test_usual_ways_are_named_as_assumptions():
    """Exposure, nails, rakes, caps and ceiling, as long as the job is silent; none of them once it speaks."""
    keys = {
        "shingles.exposure",
        "shingles.nails",
        "starter.rakes",
        "ridge_cap.material",
        "ridge_vent.ceiling",
    }
    assert keys <= {a.key for a in needs(**ALL).assumptions}

    spoken = ALL | {
        "shingles": {"exposure": "5 in", "nails": 4},
        "starter": {"rakes": True},
        "ridge_cap": {"material": "strips"},
        "ridge_vent": {"ceiling": False},
    }
    assert not keys & {a.key for a in needs(**spoken).assumptions}


@settings(max_examples=20, deadline=None)
@given(
    st.sampled_from(("gable", "single-slope", "hip", "pyramid", "gambrel", "L")),
    st.integers(96, 300),
    st.integers(96, 240),
    st.sampled_from((3, 5, 8, 12)),
    st.sampled_from(("shingle", "shingle-metric")),
    st.sampled_from(("felt-15", "felt-30", "synthetic-sheet")),
    st.booleans(),
)
def test_any_roof_is_covered(roof, length, width, pitch, shingle, felt, strips):
    """Every layer of every shape is planned, and the plan passes its audit; no layer is bought short."""
    keys = {
        "roof": roof,
        "length": f"{length} in",
        "width": f"{length if roof == 'pyramid' else width} in",
        "pitch": 14 if roof == "gambrel" else pitch,
        "underlayment": {"material": felt},
        "ice_barrier": {},
        "starter": {"material": "strips"} if strips else {},
        "shingles": {"material": shingle},
    }
    if roof != "single-slope":
        keys["ridge_cap"] = {}
    if roof == "gambrel":
        keys["gambrel"] = {"upper_pitch": 4, "break_at": "20 in"}
    if roof == "L":
        keys |= {"wing": {"length": "7 ft"}, "length": f"{length + width} in"}
    book = standard_book()
    found = needs(book, **keys)
    plan = cheapest_plan(Problem(book.stocks(), (), found.runs, found.parts, found.counts), Clock(20))

    lengths = {stock.key: stock.length * stock.pack for stock in book.stocks()}
    for material in {run.material for run in found.runs}:
        bought = sum(b.count * lengths[b.stock] for b in plan.buy if b.stock.startswith(f"{material} "))
        asked = sum(run.length for run in found.runs if run.material == material)
        asked += sum(part.length * part.count for part in found.parts if part.material == material)
        assert bought >= asked


def test_a_hip_assumes_no_starter_at_rakes():
    """Only a roof with rakes is told that starter runs up them."""
    for roof, told in (("gable", True), ("hip", False)):
        found = needs(roof=roof, underlayment={}, shingles={}, starter={})
        assert ("starter.rakes" in {assumption.key for assumption in found.assumptions}) == told


@pytest.mark.parametrize("roof", ["gable", "hip", "pyramid"])
def test_what_is_told_fits_the_roof(roof):
    """Steps and checks speak of rakes, hips and a ridge where there are some."""
    width = "16 ft" if roof == "pyramid" else "10 ft"
    job = job_of(
        roof=roof,
        width=width,
        underlayment={},
        shingles={},
        starter={},
        ridge_cap={},
        framing={"rafter": "2x6"},
    )
    found = take_off(job, standard_book())
    told = [*found.steps, *(check.message for check in found.checks)]

    assert any("rake" in words for words in told) == (roof == "gable")
    assert any("gable" in words for words in found.steps) == (roof == "gable")
    assert any("hips" in words for words in told) == (roof != "gable")
    capped = next(words for words in found.steps if words.startswith("Cap the"))
    assert ("ridge" in capped) == (roof != "pyramid")
    over = next(check.message for check in found.checks if check.rule == "underlayment at the edges")
    assert over.endswith({"gable": "the ridge.", "hip": "the ridge and hips.", "pyramid": "the hips."}[roof])
