"""
Quantity price breaks: what a material costs where many of one size are cheaper, each, than few.

A break is met or not, and once that is settled for every size its price is plain: at a break of q packs all
q are paid for, the next ones cost the break's price each. So a size is offered twice, q packs for nothing and
the rest at that price, and any model that knows limits and flat prices plans what is left of the question.
Most choices need no plan: with every size at its lowest price a model bounds what any plan takes, and that
bounds what every choice of breaks costs.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil

from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.plan import Cut, MaterialPlan
from optimizer.words import Stock

__all__ = ["Ask", "plan_with_breaks"]

Ask = Callable[[Sequence[Stock], Clock], MaterialPlan]
"""A material's model with everything but the stock filled in."""

_PAID = " (paid for)"

_MOST_CHOICES = 50_000


@dataclass(frozen=True, slots=True)
class _Tier:
    """From `least` packs on each costs `price`, and no fewer are paid for."""

    least: int
    price: int


@dataclass(frozen=True, slots=True)
class _Floor:
    """
    What some plan showed, and by whom that is vouched for: no plan costs less than `bound` at these prices.

    So many packs of each stock as `free` says cost nothing there.
    """

    prices: tuple[int, ...]
    bound: int
    witnesses: tuple[str, ...]
    free: tuple[int, ...] = ()


def plan_with_breaks(
    stocks: Sequence[Stock],
    ask: Ask,
    clock: Clock,
    aside: Callable[[MaterialPlan], int] | None = None,
) -> MaterialPlan:
    """
    Plan one material at the least cost, price breaks included; the model itself needs to know none.

    Parameters
    ----------
    stocks
        Of that material. Without breaks in reach they go to the model as they are.
    aside
        What a plan costs beside its stock, as the model weighs it: blocking from another material. None for
        nothing.

    Raises
    ------
    NoPlan
        If the model has none.

    Notes
    -----
    The bound is the least over all choices of breaks; each is bounded by a plan of its own or by the floors
    that other plans showed. With one size there is one question: fewer pieces never cost more.
    """
    tiers = [_tiers(stock) for stock in stocks]
    if all(len(mine) == 1 for mine in tiers) or any(stock.price is None for stock in stocks):
        return ask(stocks, clock)
    search = _Search(stocks, tiers, ask, aside, clock)
    lowest = tuple(mine[-1].price for mine in tiers)
    search.flat(lowest, clock.share(clock.left() * 0.5))
    if search.next_choice() is not None:
        search.flat(tuple(mine[0].price for mine in tiers), clock.share(clock.left() * 0.5))
    search.close()
    return search.answer()


def _tiers(stock: Stock) -> list[_Tier]:
    """List the prices that can be had, falling; a stock without a price has none."""
    if stock.price is None:
        return [_Tier(0, 0)]
    reach = (b for b in stock.breaks if stock.available is None or b[0] <= stock.available)
    return [_Tier(0, stock.price), *(_Tier(least, price) for least, price in reach)]


@dataclass(slots=True)
class _Search:
    """The best plan so far, what is known to bound the others, and the choices settled by a plan."""

    stocks: Sequence[Stock]
    tiers: Sequence[Sequence[_Tier]]
    ask: Ask
    aside: Callable[[MaterialPlan], int] | None
    clock: Clock
    best: tuple[int, MaterialPlan] | None = None
    floors: list[_Floor] = field(default_factory=list)
    settled: dict[tuple[int, ...], tuple[int, tuple[str, ...]]] = field(default_factory=dict)
    bound: int = 0

    def flat(self, prices: tuple[int, ...], share: Clock) -> None:
        """Plan as if there were no breaks: a plan, and a floor under all others."""
        flat = [replace(s, price=p, breaks=()) for s, p in zip(self.stocks, prices, strict=True)]
        plan = self.ask(flat, share)
        aside = self._aside(plan)
        self.floors.append(_Floor(prices, plan.outcome.bound + aside, plan.outcome.witnesses))
        self._offer(plan, aside)

    def close(self) -> None:
        """Plan one choice of breaks after the other, the most promising first, until none can be cheaper."""
        while self.clock.left() > 0:
            choice = self.next_choice()
            if choice is None:
                return
            stocks, back = self._split(choice)
            known = self._least(choice), self.floors[0].witnesses
            try:
                plan = self.ask(stocks, self.clock.share(self.clock.left() * 0.5))
            except NoPlan:
                # No time, or what a model finds with the stock in one lot it misses with it in two.
                self.settled[choice] = known
                continue
            aside = self._aside(plan)
            chosen = [mine[k] for mine, k in zip(self.tiers, choice, strict=True)]
            prices, free = tuple(tier.price for tier in chosen), tuple(tier.least for tier in chosen)
            floor = _Floor(prices, plan.outcome.bound + aside, plan.outcome.witnesses, free)
            self.floors.append(floor)
            self.settled[choice] = max(known, (self._paid(choice) + floor.bound, floor.witnesses))
            self._offer(_renamed(plan, back), aside)

    def answer(self) -> MaterialPlan:
        """Give the best plan with what it costs at its breaks, and the bound over all choices."""
        assert self.best is not None, "a model gives a plan or says why not"
        cost, plan = self.best
        self.next_choice()
        aside = self._aside(plan)
        witnesses = self._witnesses()
        outcome = replace(
            plan.outcome,
            cost=cost - aside,
            bound=min(self.bound, cost) - aside,
            proved=self.bound >= cost and len(set(witnesses)) > 1,
            witnesses=witnesses,
            family=f"{plan.outcome.family}, at every price break",
            seconds=self.clock.spent(),
        )
        return replace(plan, outcome=outcome)

    def _aside(self, plan: MaterialPlan) -> int:
        return 0 if self.aside is None else self.aside(plan)

    def _offer(self, plan: MaterialPlan, aside: int) -> None:
        cost = aside + self._cost(plan.cuts)
        if self.best is None or cost < self.best[0]:
            self.best = cost, plan

    def _cost(self, cuts: Sequence[Cut]) -> int:
        """Price what cuts take at the breaks, more than needed bought where that costs less."""
        used: Counter[tuple[str, bool]] = Counter()
        for cut in cuts:
            used[cut.stock, cut.from_rack] += cut.repeat
        return sum(s.cheapest(-(-used[s.key, s.from_rack] // s.pack))[1] or 0 for s in self.stocks)

    def _paid(self, choice: Sequence[int]) -> int:
        return sum(mine[k].least * mine[k].price for mine, k in zip(self.tiers, choice, strict=True))

    def _split(self, choice: Sequence[int]) -> tuple[list[Stock], dict[str, str]]:
        """Offer the packs that a choice pays for at nothing, and what there is beyond them at its price."""
        stocks, back = [], {}
        for stock, mine, k in zip(self.stocks, self.tiers, choice, strict=True):
            tier = mine[k]
            if not tier.least:
                stocks.append(replace(stock, price=tier.price, breaks=()))
                continue
            first = replace(stock, key=stock.key + _PAID, price=0, breaks=(), available=tier.least)
            back[first.key] = stock.key
            rest = None if stock.available is None else stock.available - tier.least
            stocks.append(first)
            if rest != 0:
                stocks.append(replace(stock, price=tier.price, breaks=(), available=rest))
        return stocks, back

    def next_choice(self) -> tuple[int, ...] | None:
        """
        Give the choice with the lowest bound that is not settled; None if no choice can be cheaper.

        Brings the bound over all choices up to date.
        """
        found: tuple[int, tuple[int, ...]] | None = None
        lowest: int | None = None
        for choice in self._choices():
            settled = self.settled.get(choice)
            bound = self._least(choice) if settled is None else settled[0]
            lowest = bound if lowest is None else min(lowest, bound)
            if settled is None and -1 not in choice and (found is None or bound < found[0]):
                found = bound, choice
        cost = None if self.best is None else self.best[0]
        if lowest is None:  # every choice pays more beforehand than the plan costs
            lowest = cost or 0
        self.bound = lowest if cost is None else min(lowest, cost)
        return None if found is None or (cost is not None and found[0] >= cost) else found[1]

    def _choices(self) -> Iterator[tuple[int, ...]]:
        """List the choices of a tier for every size that pay less beforehand than the best plan costs."""
        limit = None if self.best is None else self.best[0]
        stack: list[tuple[tuple[int, ...], int]] = [((), 0)]
        for _ in range(_MOST_CHOICES):
            if not stack:
                return
            choice, paid = stack.pop()
            if len(choice) == len(self.tiers):
                yield choice
                continue
            for k, tier in enumerate(self.tiers[len(choice)]):
                spent = paid + tier.least * tier.price
                if limit is None or spent < limit:
                    stack.append(((*choice, k), spent))
        # Too many to list: what was not listed is bounded as the cheapest of all.
        yield tuple(-1 for _ in self.tiers)

    def _least(self, choice: Sequence[int]) -> int:
        """
        Bound what a choice costs.

        A floor says that the packs, at its prices, are worth its bound at least. Those paid for bring their
        worth, as far as they are not free there; the rest costs as many times its worth as the tiers' prices
        are at least of the floor's.
        """
        if -1 in choice:
            return self.floors[0].bound
        bounds = [0]
        for floor in self.floors:
            # What is set aside costs its own worth, so that a rate above 1 is then no help.
            rates, worth = [] if self.aside is None else [Fraction(1)], 0
            free = floor.free or (0,) * len(choice)
            for mine, k, price, first in zip(self.tiers, choice, floor.prices, free, strict=True):
                worth += max(0, mine[k].least - first) * price
                if price:
                    rates.append(Fraction(mine[k].price, price))
            bounds.append(ceil(max(floor.bound - worth, 0) * min(rates, default=1)))
        return self._paid(choice) + max(bounds)

    def _witnesses(self) -> tuple[str, ...]:
        """Name those who vouch for every bound that was used; fewer than two if one has no second."""
        used = [*(w for _, w in self.settled.values()), *(floor.witnesses for floor in self.floors)]
        alone = [w for w in used if len(set(w)) < 2]
        return alone[0] if alone else tuple(dict.fromkeys(name for w in used for name in w))


def _renamed(plan: MaterialPlan, back: dict[str, str]) -> MaterialPlan:
    """Give the packs that were paid for beforehand their own name again."""
    cuts = tuple(replace(cut, stock=back.get(cut.stock, cut.stock)) for cut in plan.cuts)
    return replace(plan, cuts=cuts)
