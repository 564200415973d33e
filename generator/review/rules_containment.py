"""What keeps a spill where it is (S35)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.review.context import Context
from generator.review.finding import Finding

#: Oil in containers of 55 US gal and more that brings a US site under 40 CFR 112: 1320 US gal.
US_TOTAL_M3: Final = 4.997
US_CONTAINER_M3: Final = 0.2082
#: A container above this needs a bund in England.
ENGLAND_M3: Final = 0.200


def bund_holds(ctx: Context) -> Iterator[Finding]:
    """A bund holds the largest vessel in it with room to spare."""
    there_m3, needed_m3 = ctx.value("containment_there"), ctx.value("containment_needed")
    if ctx.profile.safety.containment is None or there_m3 is None or needed_m3 is None:
        return
    if there_m3 < needed_m3:
        facts = {"there": ctx.most(there_m3, "volume"), "needed": ctx.least(needed_m3, "volume")}
        yield ctx.finding("S35", "stop", ("safety", "containment"), **facts)


def bund_wanted(ctx: Context) -> Iterator[Finding]:
    """Where the law of the place asks for a bund, and elsewhere good sense."""
    if ctx.profile.safety.containment is not None:
        return
    required = {"us": _us, "england": _england, "other": _nowhere}[ctx.profile.site.jurisdiction]
    if required(ctx):
        yield ctx.finding("S35-required", "warn", ("safety",))
    else:
        yield ctx.finding("S35-none", "note", ("safety",))


def _us(ctx: Context) -> bool:
    sizes = [tank.capacity_m3 for tank in ctx.plant.tanks.values()]
    return sum(size for size in sizes if size >= US_CONTAINER_M3) > US_TOTAL_M3


def _england(ctx: Context) -> bool:
    return any(tank.capacity_m3 > ENGLAND_M3 for tank in ctx.plant.tanks.values())


def _nowhere(_: Context) -> bool:
    return False


def outside_bund(ctx: Context) -> Iterator[Finding]:
    """Vessels with methanol in them that the bund does not hold."""
    containment = ctx.profile.safety.containment
    if containment is None:
        return
    for tank in ctx.holding(ctx.methanol_roles):
        if tank.id not in containment.holds:
            at = ("safety", "containment", "holds")
            yield ctx.finding("S35-outside", "note", at, [tank.id], vessel=ctx.name(tank.id))
