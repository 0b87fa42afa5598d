"""Ctrl-C while a solver searches: the program lives, and the search ends with what it has."""

from __future__ import annotations

import subprocess
import sys

SCRIPT = """
import os, random, signal, threading
from cli.solving import finish_or_stop
from optimizer.engine import Clock, LinearModel, run_cpsat
from optimizer.scip import none_below

signal.signal(signal.SIGINT, signal.default_int_handler)  # a shell's background jobs start with it ignored
random.seed(3)
model = LinearModel()
for _ in range(400):
    model.column(random.randint(50, 99), 50)
for _ in range(250):
    model.row([(c, random.randint(0, 9)) for c in range(400)], lower=random.randint(2000, 9000))
clock = Clock(60)
WARM_UP
threading.Timer(1.5, lambda: os.kill(os.getpid(), signal.SIGINT)).start()
found, stopped = finish_or_stop(lambda: SEARCH, clock)
print(stopped, FOUND)
"""


def printed(warm_up: str, search: str, found: str) -> list[str]:
    """Run a search in a process of its own, interrupt it, and give what it printed."""
    script = SCRIPT.replace("WARM_UP", warm_up).replace("SEARCH", search).replace("FOUND", found)
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_control_c_does_not_kill_a_search_in_a_thread():
    """A search in a thread of its own is stopped by Ctrl-C and still gives its bound."""
    warm_up = "run_cpsat(model, Clock(5), work=0.01)"

    assert printed(warm_up, "run_cpsat(model, clock)", "found.bound is not None") == ["True", "True"]


def test_control_c_is_not_kept_by_the_second_witness():
    """SCIP leaves an interrupt to the program, prints nothing, and shows nothing once stopped."""
    assert printed("", "none_below(model, 150_000, clock)", "found") == ["True", "False"]
