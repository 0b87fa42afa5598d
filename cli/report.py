"""What one printed report says, gathered: takeoff, book, plan, bill, and what was studied beside them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cli.schema import DoneEntry
from optimizer.plan import Plan, Trip
from optimizer.words import Problem
from takeoff.book import Book
from takeoff.keys import toml
from takeoff.needs import Assumption, Takeoff

__all__ = ["Bill", "BuyLine", "Comparison", "PriceLimit", "Report", "RuleCost", "Trial"]


@dataclass(frozen=True, slots=True)
class BuyLine:
    """
    One line of Buy.

    `count` packs of `pack` pieces; prices and cost in cents and `weight` (of the whole line) in grams, None
    where unknown. A spare has a line of its own, with `spare` True. Of what lies in the rack, the cost is the
    value it is stated at. `more` of the packs are bought only because from `least` on each is cheaper; to
    buy without them would cost `dearer` cents more.
    """

    item: str
    size: str
    count: int
    pack: int
    unit_price: int | None
    cost: int | None
    weight: int | None
    spare: bool = False
    from_rack: bool = False
    returnable: bool = False
    yard: str = ""
    more: int = 0
    least: int = 0
    dearer: int = 0


@dataclass(frozen=True, slots=True)
class Bill:
    """
    Buy added up, with what matters on the way home.

    Parameters
    ----------
    subtotal, tax, total
        Cents to pay; None where anything on the list has no price. `tax` is `tax_percent` (as the job writes
        it) of the subtotal, rounded once, half up to the cent. The total includes tax and trips.
    tax_percent
        As written, "" where the job names none.
    weight
        Grams of everything whose weight is known.
    unweighed
        Items whose weight the book does not know.
    longest
        Item and its length in base units: what has to fit on the vehicle; None if nothing has a length.
    heaviest
        The heaviest piece that is handed up, as cut: label, item it is cut from, grams; None if unknown.
    unopened
        Item and packs that no cut needs and the yard takes back, as long as they stay whole.
    unpriced
        Items without a price; empty in a priced plan.
    rack_value
        Cents that what comes from the rack is stated at; no part of the sums.
    trips
        How often each yard is gone to, and what that costs; empty where nobody asked.
    short_of_spares
        Materials that the yard has too few of for the spares asked for, with how many are bought and asked.
    """

    lines: tuple[BuyLine, ...]
    subtotal: int | None
    tax_percent: str
    tax: int | None
    total: int | None
    weight: int
    unweighed: tuple[str, ...] = ()
    longest: tuple[str, int] | None = None
    heaviest: tuple[str, str, int] | None = None
    unopened: tuple[tuple[str, int], ...] = ()
    unpriced: tuple[str, ...] = ()
    short_of_spares: tuple[tuple[str, int, int], ...] = ()
    rack_value: int = 0
    trips: tuple[Trip, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """
    The deck bought another way: `against` names the way, `how` says it in a sentence.

    `pieces` and `cost` are what that way buys (sheets; cents, None without prices), `saved_pieces` and
    `saved` what the plan spares beside it, negative where the plan takes more. `proved` is False where the
    other way was not planned to the end, or is no plan at all. `note` is a remark to print with it, or "".
    """

    against: str
    how: str
    pieces: int
    cost: int | None
    saved_pieces: int
    saved: int | None
    proved: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class RuleCost:
    """
    The deck under another rule set.

    `chosen` marks the job's own. `more_pieces` and `more` are what it takes beyond the job's own, negative
    where it takes less. Where there is no plan, `pieces` is None and `reason` says why.
    """

    rules: str
    chosen: bool
    pieces: int | None
    cost: int | None
    more_pieces: int | None
    more: int | None
    proved: bool
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Trial:
    """
    An assumption, and what its likely alternative would do to Buy.

    `changes` is True for a star, False where Buy stays the same, None where it was not tried (no alternative,
    or no time); `effect` says in words what changes, as "+1 osb-7/16 4x8, +14.50".
    """

    assumption: Assumption
    changes: bool | None
    effect: str = ""

    @property
    def alternative(self) -> str:
        """What a user would type for the alternative; text without its quotes, "" where there is none."""
        value = self.assumption.alternative
        if value == {}:
            return f"a table [{self.assumption.key}]"
        return value if isinstance(value, str) else "" if value is None else toml(value)


@dataclass(frozen=True, slots=True)
class PriceLimit:
    """
    Between which prices of one item the plan stays the cheapest, all other prices as they are.

    From `above` cents on another purchase is cheaper, and so it is at `below` and less; None where that was
    not found out, or no such price was found.
    """

    item: str
    price: int
    below: int | None
    above: int | None


@dataclass(frozen=True, slots=True)
class Report:
    """
    What `console.render` prints.

    Parameters
    ----------
    problem
        What the optimizer was asked, with every stock.
    comparisons
        What the plan saved, against other ways of buying the deck.
    rule_costs
        The deck under each rule set, the job's own among them.
    trials
        Every assumption of the takeoff, in its order, starred or not.
    stopped
        True if the user ended the search early.
    cut_short
        What a limit in seconds, or the user, ended before its work was done.
    priced
        False where the book has no prices: money is then left blank and reported as not priced.
    limits
        How far the price of an item may change before another plan is the cheapest, where that is proved.
    remark
        What the price book says of itself, as that its prices are invented; "" if nothing.
    done
        What was done before, where this is a plan of the rest.
    """

    takeoff: Takeoff
    book: Book
    problem: Problem
    plan: Plan
    bill: Bill
    comparisons: tuple[Comparison, ...] = ()
    rule_costs: tuple[RuleCost, ...] = ()
    trials: tuple[Trial, ...] = ()
    limits: tuple[PriceLimit, ...] = ()
    stopped: bool = False
    cut_short: tuple[Literal["plan", "study"], ...] = ()
    priced: bool = True
    remark: str = ""
    seconds: float = 0.0
    done: DoneEntry | None = None
