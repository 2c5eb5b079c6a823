"""The least bad offers where no run has all that a colour group needs.

Two runs show as two colours wherever they meet; blended in one ratio they make one colour, and at
the edge of a pour a change shows least: common practice of the trade, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations, permutations

from stock.allocation.rules.values import Need

# More pours than this are not tried in every division; the first ones are.
MOST_PARTS = 8
MOST_RUNS = 6


def offers_for(need: Need, usable: Mapping[str, int]) -> tuple[str, ...]:
    """Return the offers in words with figures, the best first; ordering is always the last.

    `usable` is what each run has free and good for the day. What is in hand already is counted
    with its run.
    """
    total = need.quantity + need.in_hand
    have = {run: amount for run, amount in usable.items() if amount > 0}
    if need.run and need.in_hand:
        have[need.run] = have.get(need.run, 0) + need.in_hand
    order = sorted(have, key=lambda run: (run != need.run or not need.in_hand, -have[run], run))
    found = [same_ratio(need, total, have, order), natural_break(need, total, have, order)]
    return (*(words for words in found if words), whole_order(need, total, have))


def same_ratio(need: Need, total: int, have: Mapping[str, int], order: list[str]) -> str:
    """Offer two runs in the same ratio in every mix; '' where no two together are enough."""
    pairs = [
        pair for pair in combinations(order[:MOST_RUNS], 2)
        if have[pair[0]] + have[pair[1]] >= total
    ]  # fmt: skip
    if need.run and need.in_hand:
        pairs = [pair for pair in pairs if need.run in pair]
    if not pairs:
        return ""
    first, second = pairs[0]
    # Whole packs of the first where that leaves enough of the second.
    one = min(have[first], total)
    whole = one // need.pack_quantity * need.pack_quantity
    one = whole if total - whole <= have[second] else one
    other = total - one
    share = one / total
    if need.pack_mass_g:
        kg = need.pack_mass_g / 1000
        each = f"of every {kg:g} kg {kg * share:.1f} kg of {first} and {kg * (1 - share):.1f} kg"
    else:
        each = f"{share:.0%} of {first} and {1 - share:.0%}"
    return (
        f"The same ratio in every mix: {need.words(one)} of run {first} with {need.words(other)} "
        f"of run {second}, that is {each} of {second}. Show the customer a trial mix first."
    )


def natural_break(need: Need, total: int, have: Mapping[str, int], order: list[str]) -> str:
    """Offer to change the run at the edge of a pour; '' where no division by pours fits."""
    weights = need.parts[:MOST_PARTS]
    whole = sum(weight for _, weight in weights)
    if len(weights) < 2 or whole <= 0 or len(need.parts) > MOST_PARTS:
        return ""
    shares = in_packs(total, [weight for _, weight in weights], need.pack_quantity)
    numbers = range(len(weights))
    divisions = (moved for count in numbers[1:] for moved in combinations(numbers, count))
    for moved in divisions:
        second = sum(shares[n] for n in moved)
        runs = two_runs(total - second, second, have, order)
        if runs is not None:
            stay = listed([weights[n][0] for n in numbers if n not in moved])
            change = listed([weights[n][0] for n in moved])
            return (
                f"A natural break: {need.words(total - second)} of run {runs[0]} for {stay}, "
                f"{need.words(second)} of run {runs[1]} for {change}. The change shows at the edge "
                "between the pours; agree it with the customer."
            )
    return ""


def two_runs(
    first: int, second: int, have: Mapping[str, int], order: list[str]
) -> tuple[str, str] | None:
    """Return the first two runs that have so much each; None where no two have."""
    for pair in permutations(order[:MOST_RUNS], 2):
        if first <= have[pair[0]] and second <= have[pair[1]]:
            return pair
    return None


def in_packs(total: int, weights: list[int], pack: int) -> list[int]:
    """Share a quantity out over weights in whole packs, each rounded up but the last."""
    left, rest, parts = total, sum(weights), []
    for weight in weights:
        part = left if weight == rest else min(left, -(-left * weight // (rest * pack)) * pack)
        parts.append(part)
        left, rest = left - part, rest - weight
    return parts


def whole_order(need: Need, total: int, have: Mapping[str, int]) -> str:
    """Offer to order all of it; odd bags do not count against the order."""
    mass = ""
    if need.pack_mass_g:
        mass = f" ({total * need.pack_mass_g / need.pack_quantity / 1000:,.0f} kg)"
    odd = sum(have.values())
    stays = (
        f" The {need.words(odd)} that are here stay for small jobs and call-backs." if odd else ""
    )
    return f"Order all {need.words(total)}{mass} in one run, the spare included.{stays}"


def listed(names: list[str]) -> str:
    """Return names as people list them."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
