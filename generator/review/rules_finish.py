"""Rest, wash and tower: whether what is done to the ester after the reaction is enough."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.chemistry.headspace import ester_headspace_explosive_c
from generator.chemistry.plain_boiling import FUEL_METHANOL_LIMIT_FRACTION
from generator.review.context import Context, Trail
from generator.review.finding import Finding

#: Least rest in which glycerin, or an acid layer, parts from the batch (common practice, no source).
SETTLING_LEAST_S: Final = 4 * 3600.0
#: Most methanol that the table of headspaces over ester goes to.
MOST_IN_TABLE_FRACTION: Final = 0.05


def settling_long_enough(ctx: Context) -> Iterator[Finding]:
    """A short rest leaves glycerin in the ester, where it eats up the wash or the resin."""
    recipe = ctx.profile.recipe
    rests: list[tuple[float, Trail]] = [(recipe.settling.time_s, ("recipe", "settling", "time"))]
    if recipe.acid_step is not None:
        rests.append((recipe.acid_step.settling_s, ("recipe", "acid_step", "settling")))
    for time_s, at in rests:
        if time_s < SETTLING_LEAST_S:
            facts = {"time": ctx.stated(time_s, "time"), "least": ctx.stated(SETTLING_LEAST_S, "time")}
            yield ctx.finding("settling-short", "warn", at, **facts)


def methanol_washed_out(ctx: Context) -> Iterator[Finding]:
    """S28: washed fuel is heated to dry it and then stored; methanol has to be out of it first."""
    left = ctx.value("washed_methanol")
    if left is None or left <= FUEL_METHANOL_LIMIT_FRACTION:
        return
    warm_c = ctx.profile.site.ambient.highest_c
    burns = left > MOST_IN_TABLE_FRACTION or ester_headspace_explosive_c(left) <= warm_c
    facts = {
        "left": ctx.least(left, "mass_fraction"),
        "limit": ctx.stated(FUEL_METHANOL_LIMIT_FRACTION, "mass_fraction"),
    }
    at = ("recipe", "washing")
    yield ctx.finding("washed-methanol", "stop" if burns else "warn", at, **facts)


def soap_to_the_tower(ctx: Context) -> Iterator[Finding]:
    """Soap that the resin would turn into more acid than the fuel has room for."""
    washing, most_ppm = ctx.profile.recipe.washing, ctx.value("soap_to_tower")
    if washing.method == "tower" and most_ppm is not None and washing.soap_in_ppm > most_ppm:
        facts = {"stated": ctx.stated(washing.soap_in_ppm, "parts_per_million")}
        facts["most"] = ctx.most(most_ppm, "parts_per_million")
        yield ctx.finding("soap-to-tower", "warn", ("recipe", "washing", "soap_in_ppm"), **facts)


def adsorbent_enough(ctx: Context) -> Iterator[Finding]:
    """A filling that is full before one batch has passed lets the rest of its soap through."""
    need = ctx.value("adsorbent_per_batch")
    for id_, part in ctx.profile.inline.items():
        if need is not None and part.adsorbent_kg is not None and part.adsorbent_kg < need:
            facts = {"tower": ctx.name(id_), "there": ctx.stated(part.adsorbent_kg, "mass")}
            at = ("inline", id_, "adsorbent")
            yield ctx.finding("adsorbent-short", "warn", at, [id_], need=ctx.least(need, "mass"), **facts)


def own_values_count(ctx: Context) -> Iterator[Finding]:
    """An own value that no figure of this rig is made from."""
    own = ctx.profile.own_values
    for key in type(own).model_fields:
        if getattr(own, key) is not None and key not in ctx.figures:
            yield ctx.finding("own-value-idle", "note", ("own_values", key), key=key)
