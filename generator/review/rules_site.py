"""The room, the air in it, and how much methanol and how many people there are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.chemistry.density import methanol_density_kg_m3
from generator.review.context import Context
from generator.review.finding import Finding

#: A tenth of methanol's lower explosive limit, which is also what is immediately dangerous to breathe.
LEAVE_PPM: Final = 6000.0
WARN_PPM: Final = 200.0
#: 120 US gal of class IB liquid outside a storage room (29 CFR 1910.106).
INDOOR_STORE_M3: Final = 0.45425
#: 10 000 lb of flammable liquid on a site (29 CFR 1910.119).
PROCESS_SAFETY_KG: Final = 4535.9


def small_cards(ctx: Context) -> Iterator[Finding]:
    """Whether a card fits a small sheet shows only when it is laid out, which takes an issue."""
    if ctx.profile.paper.cards in ("A5", "half_Letter"):
        paper = ctx.profile.paper.cards.replace("_", " ")
        yield ctx.finding("small-cards", "note", ("paper", "cards"), paper=paper)


def ventilation(ctx: Context) -> Iterator[Finding]:
    """S23: the room's exhaust carries what the plant needs."""
    room, needed_m3s = ctx.profile.site.room, ctx.value("ventilation_needed")
    if ctx.profile.site.placement != "indoors" or room is None or needed_m3s is None:
        return
    fan = ctx.profile.safety.fan
    there_m3s, at = room.exhaust_m3s, ("site", "room", "exhaust")
    if fan and fan.flow_m3s < there_m3s:
        there_m3s, at = fan.flow_m3s, ("safety", "fan", "flow")
    if there_m3s < needed_m3s:
        facts = {"there": ctx.most(there_m3s, "air_flow"), "needed": ctx.least(needed_m3s, "air_flow")}
        yield ctx.finding("S23", "stop", at, **facts)


def fan(ctx: Context) -> Iterator[Finding]:
    """S23, S25: indoors there is a fan that can be switched from outside, and it draws low and high."""
    fan = ctx.profile.safety.fan
    if fan is None:
        if ctx.profile.site.placement == "indoors":
            yield ctx.finding("S23-fan", "stop", ("safety",))
    elif not fan.draws_low_and_high:
        yield ctx.finding("S25", "warn", ("safety", "fan", "draws_low_and_high"), fan=fan.label)


def gas_alarm(ctx: Context) -> Iterator[Finding]:
    """S24: an alarm that says leave in time, and warns where breathing it begins to harm."""
    alarm = ctx.profile.safety.gas_alarm
    if alarm is None:
        if ctx.profile.site.placement == "indoors":
            yield ctx.finding("S24-none", "warn", ("safety",))
        return
    at = ("safety", "gas_alarm")
    if alarm.leaves_at_ppm > LEAVE_PPM:
        shown = ctx.stated(alarm.leaves_at_ppm, "parts_per_million")
        limit = ctx.show(LEAVE_PPM, "parts_per_million")
        yield ctx.finding("S24", "stop", (*at, "leaves_at_ppm"), set_point=shown, limit=limit)
    if alarm.warns_at_ppm > WARN_PPM:
        shown = ctx.stated(alarm.warns_at_ppm, "parts_per_million")
        limit = ctx.show(WARN_PPM, "parts_per_million")
        yield ctx.finding("S24-warns", "warn", (*at, "warns_at_ppm"), set_point=shown, limit=limit)


def methanol_store(ctx: Context) -> Iterator[Finding]:
    """S36: how much methanol the vessels for it can hold."""
    tanks = list(ctx.holding({"methanol", "methoxide", "recovered_methanol"}))
    total_m3 = sum(tank.capacity_m3 for tank in tanks)
    ids, largest = [tank.id for tank in tanks], max(tanks, key=lambda tank: tank.capacity_m3)
    at = ("vessels", largest.id)
    mass_kg = total_m3 * methanol_density_kg_m3(20.0)
    if mass_kg >= PROCESS_SAFETY_KG:
        facts = {"total": ctx.least(mass_kg, "mass"), "limit": ctx.most(PROCESS_SAFETY_KG, "mass")}
        yield ctx.finding("S36-site", "stop", at, ids, **facts)
    elif total_m3 > INDOOR_STORE_M3 and ctx.profile.site.placement != "outdoors":
        facts = {"total": ctx.least(total_m3, "volume"), "limit": ctx.most(INDOOR_STORE_M3, "volume")}
        yield ctx.finding("S36", "warn", at, ids, **facts)


def alone(ctx: Context) -> Iterator[Finding]:
    """S45: two people while methanol is handled."""
    if ctx.profile.site.works_alone:
        yield ctx.finding("S45", "note", ("site", "works_alone"))


def titrant_base(ctx: Context) -> Iterator[Finding]:
    """A titration with one base and a batch with the other: the doses are right only for this pair."""
    catalyst = ctx.profile.recipe.catalyst
    if catalyst.base != catalyst.titrant.base:
        at = ("recipe", "catalyst", "titrant", "base")
        yield ctx.finding("titrant-base", "note", at, base=catalyst.base, titrant=catalyst.titrant.base)
