"""
Where `seamwise` starts: arguments, exit codes, and every error turned into one readable sentence.

Exit codes: 0 done; 2 something typed or a file can't be used, or no plan keeps the rules; 3 no plan in the
time given; 70 a fault of seamwise's own; 130 interrupted before there was a plan; 141 whoever read the
output went away.
"""

from __future__ import annotations

import os
import sys
import threading
import traceback
from argparse import Namespace
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib import import_module
from typing import NoReturn

from cli.arguments import parser
from optimizer.errors import Bug, InputError, NoPlan, TimeUp

__all__ = ["BAD_INPUT", "BROKEN_PIPE", "DONE", "INTERRUPTED", "NOT_IN_TIME", "OUR_FAULT", "entry", "main"]

DONE = 0
BAD_INPUT = 2
NOT_IN_TIME = 3
OUR_FAULT = 70
INTERRUPTED = 130
BROKEN_PIPE = 141


def main(arguments: Sequence[str] | None = None) -> int:
    """
    Run one command.

    Parameters
    ----------
    arguments
        As typed after the command's name; None takes those of the process.

    Returns
    -------
    int
        The exit code.
    """
    try:
        parsed = parser().parse_args(arguments)
        run: Callable[[Namespace], None] = import_module(f"cli.commands.{parsed.verb}").run
        run(parsed)
    except InputError as error:
        return _say(str(error), BAD_INPUT)
    except TimeUp as error:
        return _say(f"no plan: {error}", NOT_IN_TIME)
    except NoPlan as error:
        return _say(f"no plan: {error}", BAD_INPUT)
    except Bug as error:
        return _say(f"this is a fault of seamwise, please report it with the job: {error}", OUR_FAULT)
    except KeyboardInterrupt:
        return _say("interrupted before there was a plan", INTERRUPTED)
    except BrokenPipeError:
        return BROKEN_PIPE
    except Exception as error:
        frame = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{os.path.basename(frame.filename)}, line {frame.lineno}"
        what = f"{type(error).__name__}: {error} ({place})"
        return _say(f"this is a fault of seamwise, please report it with the job: {what}", OUR_FAULT)
    return DONE


def _say(sentence: str, code: int) -> int:
    with suppress(OSError):  # nobody left to tell; the exit code still does
        print(f"seamwise: {' '.join(sentence.split())}", file=sys.stderr)
    return code


def entry() -> NoReturn:
    """Run the command as a process of its own."""
    for stream in (sys.stdout, sys.stderr):
        # A terminal or pipe that lacks a character shows a question mark instead of ending the run.
        if stream is not None:  # as it is where the stream is closed
            stream.reconfigure(errors="replace")  # type: ignore[union-attr]
    code = main()
    if threading.active_count() > 1:
        # A solver that was told to stop and has not yet must not be torn down under its feet.
        sys.stderr.flush()
        os._exit(code)
    sys.exit(code)


if __name__ == "__main__":
    entry()
