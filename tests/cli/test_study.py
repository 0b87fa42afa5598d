"""What a plan is set beside, checked with an optimizer of a few lines whose answers are plain by hand."""

from __future__ import annotations

from collections import Counter
from contextlib import suppress
from dataclasses import replace

import pytest

from cli import variants
from cli.relax import advice
from cli.study import study_plan
from cli.trials import try_assumptions
from cli.variants import Unanswered, Variants, deck_of, part_of, purchase, varied
from optimizer.engine import Clock
from optimizer.errors import Bug, InputError, NoPlan, TimeUp
from optimizer.lengths import INCH, MILLIMETRE
from optimizer.plan import Bought, Course, Outcome, Plan
from takeoff.book import Book
from takeoff.collect import take_off
from takeoff.job import parse_job
from takeoff.needs import Assumption
from takeoff.sizes import standard_book

DATA = {"length": "16 ft", "width": "10 ft", "pitch": 6}
PRICE = {"sheet": 1000, "stick": 300, "board": 500, "each": 10, "roll": 100}
BOOK = Book(tuple(replace(item, price=PRICE[item.kind]) for item in standard_book().items), "USD")


def by_area(problem, clock):
    """Buy the first size of every material: by area and a sheet a surface, by length, by number."""
    need: Counter[str] = Counter()
    first = {}
    for stock in problem.stocks:
        first.setdefault(stock.material, stock)
    areas: Counter[str] = Counter()
    for surface in problem.surfaces:
        areas[surface.material] += surface.length * surface.height
        need[surface.material] += 1
        if surface.rule.min_supports > 4:
            raise NoPlan("no panel reaches five rafters")
    for part in problem.parts:
        areas[part.material] += part.length * max(part.width, 1) * part.count
    for run in problem.runs:
        need[run.material] += -(-run.length // first[run.material].length)
    for count in problem.counts:
        need[count.material] += count.quantity
    for material, area in areas.items():
        need[material] += -(-area // (first[material].length * max(first[material].width, 1)))
    spare = dict(problem.spare)
    buy = tuple(
        Bought(first[m].key, n + spare.get(m, 0), n, first[m].price, (n + spare.get(m, 0)) * first[m].price,
               spare=spare.get(m, 0))
        for m, n in need.items()
    )  # fmt: skip
    outcomes = tuple(
        Outcome(m, n * first[m].price, n * first[m].price, True, "", ("a", "b")) for m, n in need.items()
    )
    total = sum(b.cost for b in buy)
    return Plan(buy, (), (), (), outcomes, total, total, sum(b.count for b in buy))


@pytest.fixture(autouse=True)
def optimizer(monkeypatch):
    """Put the small optimizer in the place of the real one, and count its calls."""
    asked = []

    def plan(problem, clock, ties=True):
        asked.append(problem)
        return by_area(problem, clock)

    monkeypatch.setattr(variants, "cheapest_plan", plan)
    return asked


def studied(data=DATA, seconds=60.0, rules="usual"):
    takeoff = take_off(parse_job(data, "job"), BOOK)
    plan = by_area(takeoff.problem(BOOK.stocks()), None)
    return study_plan(data, "job", rules, BOOK, takeoff, plan, Clock(seconds))


def tried(key, value, alternative):
    takeoff = take_off(parse_job(DATA, "job"), BOOK)
    problem = takeoff.problem(BOOK.stocks())
    plan = by_area(problem, None)
    (trial,) = try_assumptions(
        problem, plan, [Assumption(key, value, "", alternative)], Variants(DATA, "job", BOOK, Clock(60), 60)
    )
    return trial


def test_varied_changes_one_key_and_leaves_the_rest():
    """Tables are made where missing, list entries counted from 0, and the original stays as it was."""
    data = {"length": 1, "door": [{"gap": 1}, {"gap": 2}]}

    assert varied(data, "rule.gap", 3) == {**data, "rule": {"gap": 3}}
    assert varied(data, "door.1.gap", 3)["door"] == [{"gap": 1}, {"gap": 3}]
    assert data == {"length": 1, "door": [{"gap": 1}, {"gap": 2}]}


def test_blocking_is_paid_for_but_is_no_panel():
    """Three sheets of 10.00 and two boards of 5.00 for the blocking: 3 panels, 40.00."""
    stocks = tuple(stock for stock in BOOK.stocks() if stock.material in ("osb-7/16", "2x4"))
    sheet, board = (next(s for s in stocks if s.kind == kind) for kind in ("sheet", "board"))
    plan = Plan(
        (Bought(sheet.key, 3, 3, 1000, 3000), Bought(board.key, 2, 2, 500, 1000)),
        (),
        (),
        (),
        (),
        None,
        None,
        0,
    )

    assert (purchase(plan, stocks).pieces, purchase(plan, stocks).cost) == (3, 4000)


def test_the_halves_apart_are_the_sum_of_each_alone(optimizer):
    """
    Each half of 192 x 80.4 in is 3.36 sheets, so 4 + 1; apart 10, together 7 + 2 = 9 of 10.00 each.

    The halves are alike, so one of them is planned and remembered.
    """
    apart = next(c for c in studied().comparisons if "apart" in c.against)

    assert (apart.pieces, apart.saved_pieces, apart.saved) == (10, 1, 1000)
    assert len([p for p in optimizer if len(p.surfaces) == 1 and p.surfaces[0].label == "half"]) == 1


def test_area_plus_ten_percent():
    """2 x 192 x 80.4 in is 214.5 sq ft; a tenth more is 236, 7.4 sheets of 32, so 8."""
    area = next(c for c in studied().comparisons if "area" in c.against)

    assert (area.pieces, area.cost, area.saved_pieces) == (8, 8000, -1)
    assert not area.proved
    assert area.note.startswith("Too few")


def test_by_hand_is_there():
    """The usual lay-out by hand stands beside the plan, with its own price."""
    hand = next(c for c in studied().comparisons if "by hand" in c.against)

    assert hand.cost == 1000 * hand.pieces
    assert hand.saved_pieces == hand.pieces - 9


def test_spares_are_left_out_of_comparisons():
    """A job that buys nine spares saves no more and no less."""
    assert [c.saved for c in studied({**DATA, "spare": 9}).comparisons] == [
        c.saved for c in studied().comparisons
    ]


def test_every_rule_set_is_there_once():
    """Lean, usual and windy stand in order; the job's own is marked and costs nothing more."""
    costs = studied({**DATA, "rules": "windy"}, rules="windy").rule_costs

    assert [cost.rules for cost in costs] == ["lean", "usual", "windy"]
    assert [cost.chosen for cost in costs] == [False, False, True]
    assert (costs[2].more_pieces, costs[2].more) == (0, 0)


def test_rules_without_a_plan_say_why():
    """A rule set under which nothing fits is listed with the reason."""
    data = {**DATA, "rule": {"supports": 4}}
    costs = study_rules_with(data)

    assert [cost.pieces for cost in costs if not cost.chosen] == [None, None]
    assert all("at least five" in cost.reason for cost in costs if not cost.chosen)


def study_rules_with(data):
    """Study a job whose other rule sets the optimizer refuses."""
    takeoff = take_off(parse_job(data, "job"), BOOK)
    plan = by_area(takeoff.problem(BOOK.stocks()), None)
    own = takeoff.surfaces

    def refuse(problem, clock, ties=True):
        if problem.surfaces and problem.surfaces[0].rule != own[0].rule:
            raise NoPlan("needs at least five")
        return by_area(problem, clock)

    variants.cheapest_plan, kept = refuse, variants.cheapest_plan
    try:
        return study_plan(data, "job", "usual", BOOK, takeoff, plan, Clock(60)).rule_costs
    finally:
        variants.cheapest_plan = kept


def test_a_guess_that_matters_gets_a_star():
    """A foot more at each rake: 1 sheet of 10.00 more and 95 nails of 0.10, 19.50 together."""
    trial = tried("rake_overhang", "0 in", "12 in")

    assert trial.changes is True
    assert "osb-7/16 4x8" in trial.effect
    assert trial.effect.endswith("+19.50")


def test_a_guess_that_does_not_matter_gets_none(optimizer):
    """A kerf too small to matter changes nothing, and a title isn't even planned again."""
    assert tried("title", "Small building", "Another").changes is False
    assert optimizer == []


def test_a_guess_without_an_alternative_is_not_tried():
    """Nothing is made up where there is nothing to try."""
    assert tried("rafter_thickness", "1-1/2 in", None).changes is None


def test_a_guess_whose_alternative_can_not_be_typed_is_not_starred():
    """An alternative that the job refuses is told, not starred."""
    trial = tried("length", "16 ft", "no length")

    assert trial.changes is None
    assert trial.effect.startswith("not tried")


def test_only_what_changes_is_planned_again(optimizer):
    """Other nails don't plan the deck again."""
    tried("rule.field_nails", "12 in", "6 in")

    assert {m for p in optimizer for m in (*p.surfaces, *p.parts)} == set()


def test_what_was_settled_stands_beside_what_was_not(monkeypatch):
    """A star needs one material that changes; those that took too long are named as open."""

    def no_time_for_decks(problem, clock, ties=True):
        if problem.surfaces:
            raise TimeUp("nothing yet")
        return by_area(problem, clock)

    monkeypatch.setattr(variants, "cheapest_plan", no_time_for_decks)
    trial = tried("rake_overhang", "0 in", "12 in")

    assert trial.changes is True
    assert trial.effect.endswith("+9.50; osb-7/16 not tried for want of time")


def test_time_that_is_up_leaves_things_out(optimizer):
    """With no time left nothing that is cut is planned, and every assumption is still listed."""
    study = studied(seconds=1e-9)

    assert [c.against for c in study.comparisons] == ["the usual lay-out by hand", "area plus 10 %"]
    assert [cost.rules for cost in study.rule_costs if not cost.chosen] == []
    assert study.trials
    assert [p for p in optimizer if p.surfaces or p.runs or p.parts] == []


def test_the_deck_under_other_rules_is_planned_once(optimizer):
    """What lean costs and whether the guess at the rules matters are one question to the deck."""
    studied()

    lean = [p for p in optimizer if p.surfaces and p.surfaces[0].rule.min_supports == 2]
    assert len(lean) == 1


def test_hard_questions_come_last(optimizer, monkeypatch):
    """Of the guesses, parts and metal are settled before any deck, and the loosest rules' deck is last."""
    monkeypatch.setattr("cli.study.price_limits", lambda problem, plan, variants: ())
    studied({**DATA, "door": [{"width": "3 ft", "height": "7 ft"}]})

    decks = [place for place, p in enumerate(optimizer) if len(p.surfaces) == 2]
    others = [place for place, p in enumerate(optimizer) if (p.runs or p.parts) and not p.surfaces]
    assert optimizer[decks[-1]].surfaces[0].rule.min_supports == 2
    # What is planned after it is the lumber of the doors, part of the same question.
    assert sum(place > decks[-1] for place in others) == 1
    assert sum(decks[1] < place < decks[-1] for place in others) == 0


def test_what_was_too_hard_gets_the_time_that_is_left(monkeypatch):
    """A question that a short time did not settle is asked once more, with more of it; others are not."""
    asked: Counter[int] = Counter()

    def slow(problem, clock, ties=True):
        if problem.surfaces:
            asked[problem] += 1
            if problem.surfaces[0].rule.min_supports == 2 and clock.left() < 40:
                raise TimeUp("nothing yet")
        return by_area(problem, clock)

    monkeypatch.setattr(variants, "cheapest_plan", slow)
    for name, seconds in (("LEAST_SECONDS", 140.0), ("QUICK_SECONDS", 30.0), ("LIMIT_SECONDS", 30.0)):
        monkeypatch.setattr(f"cli.study.{name}", seconds)
    study = studied(seconds=1000)

    assert [cost.rules for cost in study.rule_costs] == ["lean", "usual", "windy"]
    assert sorted(asked.values())[-2:] == [1, 2]


def test_a_deck_that_is_blocked_is_not_parted_from_its_lumber(monkeypatch):
    """Where courses take blocking, deck and lumber are one question, for both cut from the same boards."""
    asked = []

    def blocked(problem, clock, ties=True):
        asked.append(problem)
        course = Course("c", "plane", 1, 1, 1, 0, (), (), (), blocked=True)
        return replace(by_area(problem, clock), lay=(course,) if problem.surfaces else ())

    monkeypatch.setattr(variants, "cheapest_plan", blocked)
    data = {**DATA, "rules": "lean", "door": [{"width": "3 ft", "height": "7 ft"}]}
    problem = part_of(
        take_off(parse_job(data, "job"), BOOK).problem(BOOK.stocks()), frozenset({"osb-7/16", "2x4"})
    )
    found = Variants(data, "job", BOOK, Clock(60), 60).plans(problem)

    assert asked == [deck_of(problem), problem]
    assert len(found) == 1


def test_a_plan_the_time_did_not_allow_is_no_missing_plan(monkeypatch):
    """Running out of time in a variant is not reported as rules that allow no plan."""

    def slow(problem, clock, ties=True):
        raise TimeUp("nothing in time")

    monkeypatch.setattr(variants, "cheapest_plan", slow)
    takeoff = take_off(parse_job(DATA, "job"), BOOK)

    with pytest.raises(Unanswered):
        Variants(DATA, "job", BOOK, Clock(60), 0.01).plan(takeoff.problem(BOOK.stocks()))


def test_a_fault_in_a_variant_does_not_take_the_plan_with_it(monkeypatch):
    """A variant that fails its audit is left out and told of; everything else is still there."""

    def faulty(problem, clock, ties=True):
        if problem.surfaces and problem.surfaces[0].label == "half":
            raise Bug("the plan failed its audit")
        return by_area(problem, clock)

    monkeypatch.setattr(variants, "cheapest_plan", faulty)
    study = studied()

    assert study.faults == ("the plan failed its audit",)
    assert [c.against for c in study.comparisons] == ["the usual lay-out by hand", "area plus 10 %"]
    assert len(study.rule_costs) == 3


def test_a_saving_is_claimed_only_against_what_was_planned_to_the_end(monkeypatch):
    """Halves that were not planned to the end don't stand beside the plan: they'd flatter it."""

    def hasty(problem, clock, ties=True):
        plan = by_area(problem, clock)
        if problem.surfaces and problem.surfaces[0].label == "half":
            return replace(plan, outcomes=tuple(replace(o, bound=0, proved=False) for o in plan.outcomes))
        return plan

    monkeypatch.setattr(variants, "cheapest_plan", hasty)

    assert [c.against for c in studied().comparisons] == ["the usual lay-out by hand", "area plus 10 %"]


def test_part_of_keeps_what_is_asked_of_a_material():
    """A part of the question holds that material and no other."""
    problem = take_off(parse_job(DATA, "job"), BOOK).problem(BOOK.stocks())
    metal = part_of(problem, frozenset({"drip-edge"}))

    assert metal.runs == problem.runs
    assert (metal.surfaces, metal.parts, metal.counts, metal.spare) == ((), (), (), ())
    assert {stock.material for stock in metal.stocks} == {"drip-edge"}


def test_the_deck_brings_the_lumber_of_its_blocking():
    """Where courses may have to be blocked, the lumber belongs to the question of the deck."""
    problem = take_off(parse_job({**DATA, "rules": "lean"}, "job"), BOOK).problem(BOOK.stocks())

    assert {stock.material for stock in deck_of(problem).stocks} == {"osb-7/16", "2x4"}


def advised(data, monkeypatch, lays):
    """Ask for advice where the deck can be laid only under rules of which `lays` holds."""

    def picky(problem, clock, ties=True):
        if problem.surfaces and not lays(problem.surfaces[0].rule):
            raise NoPlan("no lay-out")
        return by_area(problem, clock)

    monkeypatch.setattr(variants, "cheapest_plan", picky)
    job = parse_job(data, "job")
    problem = take_off(job, BOOK).problem(BOOK.stocks())
    return advice(problem, job, Variants(data, "job", BOOK, Clock(60), 60))


@pytest.mark.parametrize(
    ("rule", "lays", "told"),
    [
        # Stricter than usual: the usual value, though less would do too.
        ({"supports": 6}, lambda rule: rule.min_supports <= 4, "with rule.supports = 3 in the job"),
        (
            {"stagger": "6 ft"},
            lambda rule: rule.stagger <= 30 * INCH,
            'with rule.stagger = "24 in" in the job',
        ),
        # The usual value doesn't do: one step below it, and only then the next.
        ({"supports": 6}, lambda rule: rule.min_supports <= 2, "with rule.supports = 2 in the job"),
        ({}, lambda rule: rule.stagger <= 20 * INCH, 'with rule.stagger = "16 in" in the job'),
        ({}, lambda rule: rule.stagger <= 15 * INCH, 'with rule.stagger = "12 in" in the job'),
        ({}, lambda rule: rule.narrowest <= 12 * INCH, 'with rule.narrowest = "12 in" in the job'),
        # Two of the job's own values at once stand in the way.
        (
            {"supports": 6, "stagger": "6 ft"},
            lambda rule: rule.min_supports <= 3 and rule.stagger <= 24 * INCH,
            "without the job's own rule values",
        ),
    ],
)
def test_says_which_rule_to_relax(monkeypatch, rule, lays, told):
    """The least relaxation that works is named, with what the deck then takes: 7 + 2 sheets of 10.00."""
    found = advised({**DATA, "rule": rule}, monkeypatch, lays)

    assert found == f"{told} the deck takes 9 sheets for 90.00"


def test_a_metric_job_is_told_millimetres(monkeypatch):
    """In a metric job the usual stagger is 600 mm, and two thirds of it 400 mm."""
    data = {"length": "4.88 m", "width": "3 m", "pitch": 6}

    told = advised(data, monkeypatch, lambda rule: rule.stagger <= 450 * MILLIMETRE)
    assert told.startswith('with rule.stagger = "400 mm" in the job')


def test_a_milder_rule_set_is_named_where_no_single_rule_helps(monkeypatch):
    """Where only several values of lean together let the deck be laid, lean is what to write."""
    told = advised(DATA, monkeypatch, lambda rule: rule.min_supports <= 2 and rule.narrowest <= 12 * INCH)

    assert told.startswith('with rules = "lean" in the job')


def test_no_advice_where_the_deck_is_not_to_blame(monkeypatch):
    """A deck that can be laid needs no rule relaxed."""
    assert advised(DATA, monkeypatch, lambda rule: True) == ""


def test_take_off_of_a_variant_reports_bad_values():
    """A value that a job refuses is an error of input in a variant too."""
    with pytest.raises(InputError, match="length"):
        Variants(DATA, "job", BOOK, Clock(60), 60).take_off("length", "long")


@pytest.mark.parametrize("of_its_own", [True, False])
def test_what_was_far_too_hard_is_not_begun(optimizer, of_its_own):
    """A deck that took ten seconds is not asked about with three, but with six; what is no deck always is."""
    problem = take_off(parse_job(DATA, "job"), BOOK).problem(BOOK.stocks())
    deck = variants.deck_of(problem)
    hard = {deck.surfaces[0].material if of_its_own else "": 10.0}
    for each, asked in ((3.0, 0), (6.0, 1)):
        optimizer.clear()
        some = Variants(DATA, "job", BOOK, Clock(60), each, hard=hard)
        with suppress(variants.Unanswered):
            some.plan(deck)
        assert len(optimizer) == asked
        some.plan(replace(deck, surfaces=()))
        assert len(optimizer) == asked + 1


def test_takeoffs_and_questions_are_counted_as_work(optimizer):
    """Where no solver is needed, what is asked still uses up what the study may do."""
    clock = Clock(60)
    some = Variants(DATA, "job", BOOK, clock, 30.0)
    some.take_off("length", "20 ft")
    taken = clock.worked
    some.plan(take_off(parse_job(DATA, "job"), BOOK).problem(BOOK.stocks()))

    assert clock.worked > taken > 0
