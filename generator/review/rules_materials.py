"""What vessels are made of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.review.context import Context
from generator.review.finding import Finding, Severity
from generator.review.rules_temperatures import duties

#: Plastic up to this size holds too little charge to light methanol (NFPA 77 (2000); NFPA 30).
SMALL_M3: Final = 0.005
#: Hottest that liquid may come into a plastic vessel (ATTRA/NCAT, hazards of homemade biodiesel).
PLASTIC_C: Final = 50.0
LYE_ROLES: Final = frozenset({"methoxide", "react", "settle", "strip", "glycerin", "wash", "waste_water"})
ATTACKED_BY_LYE: Final = ("aluminium", "galvanised")
ESTER_ROLES: Final = frozenset({"react", "settle", "strip", "wash", "fuel"})
SPOILS_FUEL: Final = ("copper", "brass")
ACID_ROLES: Final = frozenset({"methoxide", "react", "acid_waste"})
#: What sulfuric acid in methanol leaves alone, and plastic, of which S11 speaks.
STANDS_ACID: Final = ("stainless", "plastic")


def plastic(ctx: Context) -> Iterator[Finding]:
    """S11: plastic holds its charge; methanol beside it burns."""
    for tank in ctx.holding(ctx.methanol_roles):
        if tank.vessel.material == "plastic" and tank.capacity_m3 > SMALL_M3:
            at, name = ("vessels", tank.id, "material"), ctx.name(tank.id)
            if ctx.flammable_roles & set(tank.vessel.roles):
                yield ctx.finding("S11", "stop", at, [tank.id], vessel=name)
            elif not _methanol_gone(ctx):
                yield ctx.finding("S11-finished", "warn", at, [tank.id], vessel=name)


def _methanol_gone(ctx: Context) -> bool:
    """Whether methanol is driven off before the wash, and fuel tested before it leaves the washing tank."""
    recipe = ctx.profile.recipe
    return recipe.stripping is not None and recipe.washing.method == "water"


def heated_plastic(ctx: Context) -> Iterator[Finding]:
    """S42: plastic softens above 50 °C and more so round an element."""
    hot = {tank.id for tank, set_c, _ in duties(ctx) if set_c > PLASTIC_C}
    for tank in ctx.plant.tanks.values():
        if tank.vessel.material == "plastic" and (tank.vessel.heaters or tank.id in hot):
            at = ("vessels", tank.id, "material")
            facts = {"vessel": ctx.name(tank.id), "limit": ctx.most(PLASTIC_C, "temperature")}
            yield ctx.finding("S42", "stop", at, [tank.id], **facts)


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


def metals_in_acid(ctx: Context) -> Iterator[Finding]:
    """S19: sulfuric acid in methanol dissolves all but stainless steel; oil keeps a trace of it."""
    if ctx.profile.recipe.acid_step is None:
        return
    for tank in ctx.holding(ACID_ROLES | {"dry"}):
        if tank.vessel.material not in STANDS_ACID:
            at = ("vessels", tank.id, "material")
            severity: Severity = "stop" if ACID_ROLES & set(tank.vessel.roles) else "warn"
            facts = {"vessel": ctx.name(tank.id), "material": tank.vessel.material}
            yield ctx.finding("S19-acid", severity, at, [tank.id], **facts)
