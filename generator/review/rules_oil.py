"""The oil against the recipe: whether the way it goes is the way that the recipe takes."""

from __future__ import annotations

from collections.abc import Iterator

from generator.figures.feedstock import LIMIT_KEYS, routes
from generator.review.context import Context
from generator.review.finding import Finding


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
    if worst.choice.route == "reject":
        yield ctx.finding("oil-refused", "warn", at, **facts)
    elif worst.choice.route == "two_stage_base" and ctx.profile.recipe.stages == 1:
        yield ctx.finding("oil-two-stages", "note", at, **facts)
