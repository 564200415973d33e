"""The emergency stop, and things that must be somewhere."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.review.context import Context, is_electric
from generator.review.finding import Finding

#: What people write where there is nothing.
NOTHING: Final = frozenset({"-", "–", "?", "n/a", "na", "no", "none", "nowhere", "tbd", "todo", "unknown"})


def stop_cuts_all(ctx: Context) -> Iterator[Finding]:
    """S46: the emergency stop cuts every heater, every motor-driven pump and every vacuum pump."""
    cuts, at = set(ctx.profile.safety.emergency_stop.cuts), ("safety", "emergency_stop", "cuts")
    loads = {
        f"{tank.id}.{key}": f"{heater.label}, {ctx.name(tank.id)}" for tank, key, heater in ctx.heaters()
    }
    for id_, pump in ctx.profile.pumps.items():
        if is_electric(pump.kind, pump.power_w):
            loads[id_] = ctx.name(id_)
    for id_, condenser in ctx.profile.condensers.items():
        if condenser.vacuum is not None:
            loads[f"{id_}.vacuum"] = f"{condenser.vacuum.name} ({condenser.vacuum.label})"
    for load, name in loads.items():
        if load not in cuts:
            yield ctx.finding("S46", "stop", at, [load], load=name, id=load)


def stop_latches(ctx: Context) -> Iterator[Finding]:
    """S46: it stays pressed, and power that comes back starts nothing."""
    stop, at = ctx.profile.safety.emergency_stop, ("safety", "emergency_stop")
    if not stop.latching:
        yield ctx.finding("S46-latching", "stop", (*at, "latching"))
    if not stop.stays_off_after_power_returns:
        yield ctx.finding("S46-power", "stop", (*at, "stays_off_after_power_returns"))


def things_in_place(ctx: Context) -> Iterator[Finding]:
    """S32 and its like: an eyewash, an isolator, a spill kit that is nowhere cannot be printed on a card."""
    safety = ctx.profile.safety
    places = {
        ("S32", "eyewash_place"): safety.eyewash_place,
        ("no-isolator", "isolator_place"): safety.isolator_place,
        ("no-spill-kit", "spill_kit_place"): safety.spill_kit_place,
    }
    for (rule, key), text in places.items():
        if text.strip(" .").casefold() in NOTHING:
            yield ctx.finding(rule, "stop", ("safety", key), text=text)
    if safety.emergency_stop.place.strip(" .").casefold() in NOTHING:
        at = ("safety", "emergency_stop", "place")
        yield ctx.finding("no-emergency-stop", "stop", at, text=safety.emergency_stop.place)
