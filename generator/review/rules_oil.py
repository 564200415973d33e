"""The oil against the recipe: whether the way it goes is the way that the recipe takes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.figures.feedstock import LIMIT_KEYS, routes
from generator.review.context import Context
from generator.review.finding import Finding

#: Rounds of acid that an oil may need (published: two brought 12 and 33 % below 1 %, Canakci and Van Gerpen
#: 2001; the third is common practice, no source).
MOST_ACID_ROUNDS: Final = 3


#: Least methanol that recipes use, share of the oil's volume (common practice, no source).
LEAST_METHANOL_SHARE: Final = 0.18


def methanol_enough(ctx: Context) -> Iterator[Finding]:
    """Methanol near what the reaction itself uses up leaves oil unreacted."""
    share, ratio = ctx.value("methanol_share"), ctx.value("methanol_ratio")
    if share is not None and ratio is not None and share < LEAST_METHANOL_SHARE:
        facts = {"share": ctx.stated(share, "fraction"), "ratio": ctx.most(ratio, "molar_ratio")}
        facts["least"] = ctx.stated(LEAST_METHANOL_SHARE, "fraction")
        yield ctx.finding("methanol-scarce", "warn", ("recipe", "methanol"), **facts)


def acid_range(ctx: Context) -> Iterator[Finding]:
    """The acid step is for oil above the highest titration: its own limit has to lie above that."""
    most, highest = ctx.value("acid_highest_ffa"), ctx.value("ffa_highest")
    if most is not None and highest is not None and most <= highest:
        facts = {"most": ctx.stated(most, "mass_fraction"), "highest": ctx.least(highest, "mass_fraction")}
        yield ctx.finding("acid-range", "stop", ("recipe", "acid_step", "highest_ffa"), **facts)


def acid_rounds(ctx: Context) -> Iterator[Finding]:
    """Acid that leaves so much behind that an oil would go round and round."""
    rounds = ctx.value("acid_rounds")
    if rounds is not None and rounds > MOST_ACID_ROUNDS:
        facts = {"rounds": ctx.least(rounds, "count"), "most": ctx.stated(MOST_ACID_ROUNDS, "count")}
        yield ctx.finding("acid-rounds", "stop", ("recipe", "acid_step", "left_share"), **facts)


def way_of_the_oil(ctx: Context) -> Iterator[Finding]:
    """Oil at the highest titration is one that this recipe can make fuel of."""
    if any(ctx.value(name) is None for name in (*LIMIT_KEYS, "ffa_usual", "ffa_highest")):
        return
    worst = routes(ctx.profile, ctx.figures)[-1]
    over = worst.choice.over
    if over is None:
        return
    facts = {
        "ffa": ctx.least(worst.ffa.value, "mass_fraction"),
        "limit": ctx.stated(over.limit, "mass_fraction"),
    }
    at = ("feedstock", "highest_titration")
    if worst.choice.route in ("reject", "acid_first"):
        yield ctx.finding("oil-refused", "stop", at, **facts)
    elif worst.choice.route == "two_stage_base" and ctx.profile.recipe.stages == 1:
        yield ctx.finding("oil-two-stages", "note", at, **facts)
