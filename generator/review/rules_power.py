"""Elements and their electricity."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from generator.chemistry.elements import OIL_WATT_DENSITY_W_M2, cover_level_m
from generator.figures.tanks import heater_power_w
from generator.figures.values import value
from generator.plant.plant import Tank
from generator.review.context import Context, is_electric
from generator.review.finding import Finding

#: Share of a circuit's rating that a load which runs for hours may take.
CONTINUOUS_SHARE: Final = 0.80
#: Which figure says how much is in a vessel at its least while its heater is on, for each duty.
LEAST_WHILE_HEATED: Final = {
    "dry": "oil_volume",
    "react": "oil_volume",
    "strip": "fuel_least",
    "wash": "fuel_least",
}


def element_covered(ctx: Context) -> Iterator[Finding]:
    """S01: liquid stands above the hot part whenever the heater may be on, and a cut-out sees to it."""
    for tank, key, heater in ctx.heaters():
        at, who = ("vessels", tank.id, "heaters", key), f"{tank.id}.{key}"
        # The vessel's cover mark is its highest heater's; what is uncovered is told of each by itself.
        cover_m = cover_level_m(heater.top_of_hot_part_m, value(ctx.profile, "element_cover"))
        held_m3 = _least_volume_m3(ctx, tank)
        if held_m3 is not None:
            level_m = tank.shape.level_at(min(held_m3, tank.capacity_m3))
            if cover_m > level_m:
                yield ctx.finding(
                    "S01",
                    "stop",
                    (*at, "top_of_hot_part"),
                    [who],
                    heater=heater.label,
                    vessel=ctx.name(tank.id),
                    cover=ctx.least(cover_m, "level"),
                    level=ctx.most(level_m, "level"),
                    volume=ctx.show(held_m3, "volume"),
                )
        if not heater.low_level_cutout:
            facts = {"heater": heater.label, "vessel": ctx.name(tank.id)}
            yield ctx.finding("S01-cutout", "stop", (*at, "low_level_cutout"), [who], **facts)


def _least_volume_m3(ctx: Context, tank: Tank) -> float | None:
    """The least that a vessel holds on any of its heated duties; its fill limit where it has none."""
    duties = [LEAST_WHILE_HEATED[role] for role in tank.vessel.roles if role in LEAST_WHILE_HEATED]
    volumes = [volume for duty in duties if (volume := ctx.value(duty)) is not None]
    if duties and not volumes:
        return None
    return min([*volumes, tank.limit_m3])


def high_limit(ctx: Context) -> Iterator[Finding]:
    """S04: a high limit of its own that stays off until somebody comes."""
    for tank, key, heater in ctx.heaters():
        at, who = ("vessels", tank.id, "heaters", key), [f"{tank.id}.{key}"]
        facts = {"heater": heater.label, "vessel": ctx.name(tank.id)}
        limit = heater.high_limit
        if limit is None:
            yield ctx.finding("S04", "stop", at, who, **facts)
            continue
        if not limit.independent:
            yield ctx.finding("S04-independent", "stop", (*at, "high_limit", "independent"), who, **facts)
        if not limit.manual_reset:
            yield ctx.finding("S04-reset", "stop", (*at, "high_limit", "manual_reset"), who, **facts)


def high_limit_setting(ctx: Context) -> Iterator[Finding]:
    """S04: where methanol reacts the limit trips before it boils; other duties have limits of their own."""
    most_c = ctx.value("high_limit")
    for tank, key, heater in ctx.heaters():
        set_c = heater.high_limit.set_point_c if heater.high_limit else None
        if most_c is None or set_c is None or "react" not in tank.vessel.roles or set_c <= most_c:
            continue
        facts = {"heater": heater.label, "vessel": ctx.name(tank.id)}
        facts |= {"set_point": ctx.stated(set_c, "temperature"), "most": ctx.most(most_c, "temperature")}
        at = ("vessels", tank.id, "heaters", key, "high_limit", "set_point")
        yield ctx.finding("S04-setting", "stop", at, [f"{tank.id}.{key}"], **facts)


def watt_density(ctx: Context) -> Iterator[Finding]:
    """Power per surface: too much cokes the oil and heats a dry sheath past ignition."""
    for tank in ctx.plant.tanks.values():
        for key, heater in tank.vessel.heaters.items():
            at, who = ("vessels", tank.id, "heaters", key), [f"{tank.id}.{key}"]
            facts = {"heater": heater.label, "vessel": ctx.name(tank.id)}
            density = ctx.value(f"{tank.id}.element_density")
            if density is None:
                yield ctx.finding("watt-density-unknown", "note", at, who, **facts)
            elif density > OIL_WATT_DENSITY_W_M2:
                shown = ctx.least(density, "watt_density")
                limit = ctx.most(OIL_WATT_DENSITY_W_M2, "watt_density")
                spot = (*at, "rated_watt_density")
                yield ctx.finding("watt-density", "warn", spot, who, density=shown, limit=limit, **facts)


def volts(ctx: Context) -> Iterator[Finding]:
    """An element on more than its rated volts burns out; its power goes with the square."""
    for tank, key, heater in ctx.heaters():
        if heater.supply_voltage_v > heater.rated_voltage_v:
            yield ctx.finding(
                "element-volts",
                "stop",
                ("vessels", tank.id, "heaters", key, "supply_voltage"),
                [f"{tank.id}.{key}"],
                heater=heater.label,
                supply=ctx.stated(heater.supply_voltage_v, "voltage"),
                rated=ctx.stated(heater.rated_voltage_v, "voltage"),
                power=ctx.show(heater_power_w(heater), "power"),
            )


def circuit(ctx: Context) -> Iterator[Finding]:
    """A heater's current against its own circuit. Outside the US full rating is usual: there it is a note."""
    for tank, key, heater in ctx.heaters():
        at, who = ("vessels", tank.id, "heaters", key, "circuit"), [f"{tank.id}.{key}"]
        current_a = heater_power_w(heater) / heater.supply_voltage_v
        facts = {"heater": heater.label, "current": ctx.least(current_a, "current")}
        if heater.circuit_a is None:
            yield ctx.finding("circuit-unknown", "note", at, who, **facts)
            continue
        facts["circuit"] = ctx.stated(heater.circuit_a, "current")
        if current_a > heater.circuit_a:
            yield ctx.finding("circuit-overload", "stop", at, who, **facts)
        elif current_a > CONTINUOUS_SHARE * heater.circuit_a:
            in_us = ctx.profile.site.jurisdiction == "us"
            yield ctx.finding("circuit-rating", "warn" if in_us else "note", at, who, **facts)


def mains_load(ctx: Context) -> Iterator[Finding]:
    """All heaters and motors at once against the mains; the largest alone may not exceed it."""
    mains = ctx.profile.site.mains
    heaters_a = [heater_power_w(heater) / heater.supply_voltage_v for _, _, heater in ctx.heaters()]
    motors = [pump for pump in ctx.profile.pumps.values() if is_electric(pump.kind, pump.power_w)]
    motors_w = sum(pump.power_w or 0.0 for pump in motors)
    motors_w += sum(part.vacuum.power_w for part in ctx.profile.condensers.values() if part.vacuum)
    total_a = sum(heaters_a) + motors_w / mains.voltage_v
    largest_a = max(heaters_a, default=0.0)
    facts = {"total": ctx.least(total_a, "current"), "circuit": ctx.stated(mains.circuit_a, "current")}
    at = ("site", "mains", "circuit")
    if largest_a > mains.circuit_a:
        yield ctx.finding("mains-overload", "stop", at, largest=ctx.least(largest_a, "current"), **facts)
    elif total_a > mains.circuit_a:
        yield ctx.finding("mains-load", "note", at, **facts)


def residual_current(ctx: Context) -> Iterator[Finding]:
    """S53: a residual current device (GFCI) on the circuits of heaters and pumps."""
    if not ctx.profile.site.mains.residual_current_device:
        yield ctx.finding("S53", "stop", ("site", "mains", "residual_current_device"))


def earthed_heaters(ctx: Context) -> Iterator[Finding]:
    """S53: a vessel with an element in it is earthed."""
    for tank in ctx.plant.tanks.values():
        if tank.vessel.heaters and not tank.vessel.earthed:
            at = ("vessels", tank.id, "earthed")
            yield ctx.finding("S53-earth", "stop", at, [tank.id], vessel=ctx.name(tank.id))
