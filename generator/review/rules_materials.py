"""What vessels are made of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.review.context import FLAMMABLE_ROLES, METHANOL_ROLES, Context
from generator.review.finding import Finding

LYE_ROLES: Final = frozenset({"methoxide", "react", "settle", "strip", "glycerin", "wash", "waste_water"})
ATTACKED_BY_LYE: Final = ("aluminium", "galvanised")
ESTER_ROLES: Final = frozenset({"react", "settle", "strip", "wash", "fuel"})
SPOILS_FUEL: Final = ("copper", "brass")


def plastic(ctx: Context) -> Iterator[Finding]:
    """S11: plastic holds its charge; methanol beside it burns."""
    for tank in ctx.holding(METHANOL_ROLES):
        if tank.vessel.material == "plastic":
            at, name = ("vessels", tank.id, "material"), ctx.name(tank.id)
            if FLAMMABLE_ROLES & set(tank.vessel.roles):
                yield ctx.finding("S11", "stop", at, [tank.id], vessel=name)
            elif not _methanol_gone(ctx):
                yield ctx.finding("S11-finished", "warn", at, [tank.id], vessel=name)


def _methanol_gone(ctx: Context) -> bool:
    """Whether methanol is driven off before the wash, and fuel tested before it leaves the washing tank."""
    recipe = ctx.profile.recipe
    return recipe.stripping is not None and recipe.washing.method == "water"


def heated_plastic(ctx: Context) -> Iterator[Finding]:
    """S42: plastic softens above 50 °C and more so round an element."""
    for tank in ctx.plant.tanks.values():
        methanol = METHANOL_ROLES & set(tank.vessel.roles)
        if tank.vessel.material == "plastic" and tank.vessel.heaters and not methanol:
            at = ("vessels", tank.id, "material")
            yield ctx.finding("S42", "stop", at, [tank.id], vessel=ctx.name(tank.id))


def metals_in_lye(ctx: Context) -> Iterator[Finding]:
    """S19: lye eats aluminium and zinc and makes hydrogen of it."""
    for tank in ctx.holding(LYE_ROLES):
        if tank.vessel.material in ATTACKED_BY_LYE:
            at = ("vessels", tank.id, "material")
            facts = {"vessel": ctx.name(tank.id), "material": tank.vessel.material}
            yield ctx.finding("S19", "stop", at, [tank.id], **facts)


def metals_in_fuel(ctx: Context) -> Iterator[Finding]:
    """S20: copper metals spoil ester, and zinc spoils stored fuel. (Zinc in lye is S19's.)"""
    for tank in ctx.holding(ESTER_ROLES):
        material, roles = tank.vessel.material, set(tank.vessel.roles)
        if material in SPOILS_FUEL or (material == "galvanised" and not roles & LYE_ROLES):
            at = ("vessels", tank.id, "material")
            yield ctx.finding("S20", "warn", at, [tank.id], vessel=ctx.name(tank.id), material=material)
