"""Work is counted the same on every machine; a deadline in seconds of the day stands far behind it."""

from __future__ import annotations

import pytest
from small_models import covering, endless

from optimizer import clock as clocks
from optimizer.clock import Clock
from optimizer.engine import run_cpsat, run_highs, solve_relaxed

NOW = 1000.0


@pytest.fixture
def day(monkeypatch):
    """Give a day that passes only when it is told to."""

    class Day:
        now = NOW

        def monotonic(self):
            return self.now

    found = Day()
    monkeypatch.setattr(clocks, "time", found)
    return found


def test_work_done_under_a_share_is_done_for_all(day):
    """Of 30 s, a share of 10 does 4: it has 6 left, the whole 26, and a share made then at most those."""
    clock = Clock(30)
    share = clock.share(10)
    share.spend(4)

    assert (share.left(), clock.left(), clock.share(60).left(), clock.worked) == (6, 26, 26, 4)


def test_time_that_passes_takes_nothing_from_an_allowance(day):
    """A machine ten times slower: what is left is the same, and so is any part of it."""
    clock = Clock(30)
    share = clock.share(1)
    day.now += 23.9

    assert (share.left(), clock.left(), clock.fences) == (1, 30, 0)


def test_a_deadline_ends_what_has_work_left_and_says_so(day):
    """After 30 s nothing is left, and that is counted; where the work was done before, nothing is."""
    late, done = Clock(30), Clock(30)
    done.spend(30)
    day.now += 31

    assert (late.left(), late.fences) == (0, 1)
    assert (done.left(), done.fences) == (0, 0)


def test_the_deadline_of_a_share_is_told_by_the_whole(day):
    """A deadline is at four fifths of the time at the latest, but for shares of most of the work."""
    clock = Clock(15)
    share = clock.share(0.1)
    day.now += 12.5

    assert (share.left(), share.wait(), clock.left()) == (0, 0, 15)
    assert clock.fences == 1


def test_a_share_of_everything_has_all_of_the_day(day):
    """What is last may use whatever there is."""
    assert Clock(20).share(20).wait() == 20


def test_a_stop_is_no_deadline(day):
    """Ctrl-C leaves nothing; that it was called is told by whoever called it."""
    clock = Clock(20)
    clock.stop()

    assert (clock.left(), clock.wait(), clock.fences) == (0, 0, 0)


@pytest.mark.parametrize("run", [run_highs, run_cpsat, solve_relaxed])
def test_a_solver_counts_its_work_and_counts_it_the_same(run):
    """Twice the same model is twice the same work, whatever else the machine does, and not nothing."""
    first, second = Clock(60), Clock(60)
    run(covering(), first)
    run(covering(), second)

    assert first.worked == second.worked > 0


@pytest.mark.parametrize("run", [run_highs, run_cpsat, solve_relaxed])
def test_nothing_is_run_without_an_allowance(run):
    """Where the work is done, a solver is not asked, and no deadline is to blame."""
    clock = Clock(60)
    clock.spend(60)
    solved = run(covering(), clock)

    assert solved is None or solved.values is None
    assert clock.fences == 0


@pytest.mark.parametrize("run", [run_highs, run_cpsat])
def test_a_solver_that_the_deadline_ends_says_so(run):
    """A model far beyond a second, with work for hours: the clock has counted a deadline."""
    clock = Clock(10_000)
    clock._fence = clock._start + 1.0
    solved = run(endless(), clock)

    assert not solved.optimal
    assert clock.fences == 1


@pytest.mark.parametrize("run", [run_highs, run_cpsat])
def test_a_solver_that_has_done_its_work_blames_no_deadline(run):
    """The same with little work, and hours to do it in: the same solution every time."""
    runs = []
    for _ in range(2):
        clock = Clock(10_000).share(0.6)
        runs.append(run(endless(), clock))
        assert clock.fences == 0
        assert clock.left() == 0

    assert runs[0] == runs[1]
    assert not runs[0].optimal
