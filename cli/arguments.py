"""What may be typed after `seamwise`: verbs, their options, and an example of each."""

from __future__ import annotations

from argparse import Action, ArgumentParser, ArgumentTypeError, Namespace, RawDescriptionHelpFormatter
from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from typing import NoReturn

from cli.files import print_out
from optimizer.errors import InputError

__all__ = ["parser"]

SHELLS = ("bash", "zsh", "tcsh")

_EXIT_CODES = """\
exit codes:
  0    done
  2    a file or an argument can't be used, or no plan keeps all the rules; standard error says which
       key, piece or rule stands in the way, and what would be right
  3    no plan was found in the time given
  70   a fault of seamwise's own
  130  interrupted before there was a plan
  141  whoever read the output went away
"""


_EXAMPLES = {
    "new": ("new house.toml",),
    "plan": (
        "plan house.toml --out house",
        "plan --length 16ft --width 10ft --pitch 6",
        "plan house.toml --so-far house/plan.json --laid O1 --spoilt S4",
    ),
    "compare": ("compare house.toml --swap osb-7/16=osb-19/32 --swap rules=lean",),
    "sizes": ("sizes house.toml", "sizes house.toml --vary 'rake_overhang=10 in..14 in by 1/2 in'"),
    "takeoff": ("takeoff house.toml",),
    "batch": ("batch sheds --out lists",),
    "rack": (
        "rack add rack.csv osb-7/16 48in 23-7/8in --count 2",
        "rack take rack.csv --plan house/plan.json",
    ),
    "schema": ("schema > plan-schema.json",),
}
"""By verb: what follows the program's name."""


class _Parser(ArgumentParser):
    """An argument parser whose complaints are one sentence, like all others here."""

    def error(self, message: str) -> NoReturn:
        raise InputError(f"{message}; see {self.prog} --help", "command line")

    def exit(self, status: int = 0, message: str | None = None) -> NoReturn:
        """End after a help text, once that has left the buffer."""
        print_out("")
        super().exit(status, message)


class _Completion(Action):
    """Prints a shell's completion script and ends."""

    def __call__(
        self,
        parser: ArgumentParser,
        namespace: Namespace,
        values: str | Sequence[object] | None,
        option_string: str | None = None,
    ) -> None:
        import shtab

        print_out(shtab.complete(parser, shell=str(values)) + "\n")
        parser.exit()


_LONGEST = 1_000_000


def _seconds(text: str) -> float:
    try:
        seconds = float(text)
    except ValueError:
        seconds = 0.0
    if not seconds > 0:
        raise ArgumentTypeError(f"{text!r} is not a number of seconds above 0; write it like 30")
    if seconds > _LONGEST:
        raise ArgumentTypeError(f"{text!r} is more than {_LONGEST} seconds; write it like 30")
    return seconds


def _count(text: str) -> int:
    if not text.isdecimal() or not 0 < int(text) <= _LONGEST:
        raise ArgumentTypeError(f"{text!r} is not a number of pieces; write it like 2")
    return int(text)


def _add_job(parser: ArgumentParser) -> None:
    parser.add_argument("job", nargs="?", metavar="JOB", help="job file (TOML), or - for standard input")
    three = parser.add_argument_group("instead of a job file")
    three.add_argument("--length", metavar="L", help="plan length, outside of framing, as 16ft")
    three.add_argument("--width", metavar="W", help="plan width, outside of framing, as 10ft")
    three.add_argument("--pitch", metavar="P", help="rise in 12, as 6, or an angle, as 30deg")
    parser.add_argument("--prices", metavar="FILE", help="price book (CSV), or - for standard input")
    parser.add_argument(
        "--json", action="store_true", help="write JSON, and nothing else, to standard output"
    )


def _add_seconds(parser: ArgumentParser, usual: float = 30.0) -> None:
    parser.add_argument(
        "--seconds",
        type=_seconds,
        default=usual,
        metavar="S",
        help=f"time limit; the best so far is then shown with its gap, as at Ctrl-C (default {usual:g})",
    )


def _add_plan(plan: ArgumentParser) -> None:
    _add_job(plan)
    plan.add_argument(
        "--out", metavar="DIR", help="write plan.json, buy.csv, cut.csv and site.html into a directory"
    )
    _add_seconds(plan)
    done = plan.add_argument_group("when part of a plan is done already")
    done.add_argument(
        "--so-far", metavar="PLAN", help="plan.json that was bought for: plan the rest with what is in hand"
    )
    for name, what in (
        ("laid", "pieces, courses or parts in place, as O1,O2.1"),
        ("cut", "stock that is cut, as S1,S4; what anything laid comes from is cut anyway"),
        ("spoilt", "stock or pieces that can't be used any more"),
    ):
        done.add_argument(f"--{name}", action="append", metavar="NAMES", help=what)
    done.add_argument(
        "--changed",
        action="append",
        metavar="KEY=VALUE",
        help="a measure that came out otherwise, as 'slope_length=100-1/4 in'; may be given more than once",
    )


def _add_compare(compare: ArgumentParser) -> None:
    _add_job(compare)
    compare.add_argument(
        "--swap",
        action="append",
        required=True,
        metavar="A=B",
        help="one option: B, a material or one size of it, in the place of the material A; B as the value of "
        "the key A, as 'fascia.joints=on tails'; or yard=B, one yard alone; several with commas between are "
        "one option together; may be given more than once",
    )
    compare.add_argument("--out", metavar="DIR", help="write site.html, with the options, into a directory")
    _add_seconds(compare)


def _add_sizes(sizes: ArgumentParser) -> None:
    _add_job(sizes)
    sizes.add_argument(
        "--vary",
        action="append",
        metavar="KEY=FROM..TO by STEP",
        help="a key of the job and what it may be, as 'rake_overhang=10 in..14 in by 1/2 in' or "
        "'pitch=7..9 by 0.5'; may be given more than once; left out, both overhangs by 2 in either way "
        "and the pitch by 1/2",
    )
    sizes.add_argument("--out", metavar="DIR", help="write site.html, with the plots, into a directory")
    _add_seconds(sizes, 60.0)


def _add_rack(rack: ArgumentParser) -> None:
    actions = rack.add_subparsers(dest="action", metavar="ACTION", required=True)
    listing = actions.add_parser("list", help="list what is there")
    adding = actions.add_parser("add", help="put an offcut in, or what a plan left over")
    taking = actions.add_parser("take", help="take an offcut out, or what a plan drew from the rack")
    for action in (listing, adding, taking):
        action.add_argument("rack", metavar="RACK", help="the rack's file (CSV)")
    adding.add_argument("material", nargs="?", metavar="MATERIAL", help="key in the price book, as osb-7/16")
    adding.add_argument("length", nargs="?", metavar="LENGTH", help="along the grain, as 39-1/2in")
    adding.add_argument("width", nargs="?", metavar="WIDTH", help="of a sheet, across the grain")
    adding.add_argument("--value", metavar="MONEY", help="what it is stated at; left out, nothing")
    taking.add_argument("offcut", nargs="?", metavar="OFFCUT", help="its name, as the list has it")
    for action in (adding, taking):
        action.add_argument("--count", type=_count, default=1, metavar="N", help="how many (default 1)")
        action.add_argument("--plan", metavar="FILE", help="plan.json of a plan that was carried out")


def _add_batch(batch: ArgumentParser) -> None:
    batch.add_argument("folder", metavar="DIR", help="directory of job files (*.toml)")
    batch.add_argument(
        "--out",
        metavar="DIR",
        help="write index.html, jobs.csv and, for each job, a folder with all that `plan --out` writes",
    )
    where = batch.add_mutually_exclusive_group()
    where.add_argument(
        "--workers", type=_count, metavar="N", help="jobs planned at a time (default: one a core)"
    )
    where.add_argument(
        "--cluster", metavar="ADDRESS", help="plan on a Dask cluster: its scheduler, as tcp://10.0.0.5:8786"
    )
    batch.add_argument("--json", action="store_true", help="write JSON, and nothing else, to standard output")
    _add_seconds(batch)


def parser() -> ArgumentParser:
    """Give the parser of everything that may be typed."""
    whole = _Parser(
        prog="seamwise",
        description="From a small wooden building's dimensions and a price list to a purchase proved "
        "cheapest,\nwith cut and lay-out diagrams.",
        epilog=_EXIT_CODES,
        formatter_class=RawDescriptionHelpFormatter,
    )
    whole.add_argument("--version", action="version", version=f"%(prog)s {_version()}")
    whole.add_argument(
        "--completion", action=_Completion, choices=SHELLS, help="print what teaches a shell to complete this"
    )
    verbs = whole.add_subparsers(dest="verb", metavar="VERB", required=True)

    def verb(name: str, does: str) -> ArgumentParser:
        examples = "".join(f"  seamwise {line}\n" for line in _EXAMPLES[name])
        return verbs.add_parser(
            name,
            help=does,
            description=f"{does[0].upper()}{does[1:]}.",
            epilog=f"example{'s' * (len(_EXAMPLES[name]) > 1)}:\n{examples}\n{_EXIT_CODES}",
            formatter_class=RawDescriptionHelpFormatter,
        )

    new = verb("new", "write a commented starter job, and a price book beside it")
    new.add_argument("file", metavar="FILE", help="job file to write; one that exists is left alone")
    _add_plan(verb("plan", "plan the cheapest purchase: what to buy, cut, lay, keep and check"))
    _add_compare(verb("compare", "set options side by side: another panel, size, yard or rule, planned anew"))
    _add_sizes(verb("sizes", "find which small change of a dimension saves money, each planned anew"))
    _add_job(verb("takeoff", "list what the building needs, before anything is optimised"))
    _add_batch(verb("batch", "plan every job of a directory, several at once, and list what each costs"))
    _add_rack(verb("rack", "list the offcuts on the rack, add some, take some, or do as a plan did"))
    verb("schema", "print the JSON Schema of plan.json")
    return whole


def _version() -> str:
    try:
        return version("seamwise")
    except PackageNotFoundError:
        return "(not installed)"
