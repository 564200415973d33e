"""Does each vessel have room for what a batch brings it?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from generator.chemistry.density import oil_density_kg_m3
from generator.figures.values import value
from generator.plant.levels import LEVEL_SLACK_M
from generator.plant.plant import Tank
from generator.review.context import Context, clamped
from generator.review.finding import Finding, Severity

#: Room for foam over a reacting or washing batch, share of the vessel (common practice, no source).
FOAM_SHARE: Final = 0.15
#: Fullest that a vessel may be at filling temperature (3 to 4 % expansion derived, the rest common practice).
FULLEST: Final = 0.90
FILLED_ROLES: Final = frozenset(
    {"dry", "react", "settle", "strip", "wash", "fuel", "glycerin", "recovered_methanol", "methoxide"}
    | {"acid_waste", "waste_water"}
)
#: Role, figure of what one batch brings it, rule, room kept for foam.
RECEIVERS: Final = (
    ("glycerin", "glycerin_highest", "volume-glycerin", 0.0),
    ("recovered_methanol", "recovered_methanol", "volume-recovered", 0.0),
    ("methoxide", "methoxide_volume", "volume-methoxide", 0.0),
    ("methoxide", "acid_mix_volume", "volume-acid-can", 0.0),
    ("react", "acid_charge_volume", "volume-acid-charge", FOAM_SHARE),
    ("acid_waste", "acid_waste_volume", "volume-acid", 0.0),
    ("fuel", "fuel_volume", "volume-fuel", 0.0),
)


def headspace(ctx: Context) -> Iterator[Finding]:
    """S26: the batch at its hottest stays below the fill limit, and leaves room for foam where it foams."""
    charge_m3, ester_m3 = ctx.value("charge_volume"), ctx.value("ester_volume")
    washed_m3 = None if ester_m3 is None else ester_m3 + (ctx.value("wash_water") or 0.0)
    brought = {
        "dry": (_oil_when_dry_m3(ctx), FOAM_SHARE),
        "react": (charge_m3, FOAM_SHARE),
        "settle": (charge_m3, 0.0),
        "strip": (ester_m3, 0.0),
        "wash": (washed_m3, FOAM_SHARE),
    }
    worst: dict[str, tuple[float, float]] = {}
    for role, (volume_m3, foam) in brought.items():
        tank = ctx.plant.with_role(role)
        if tank is None or volume_m3 is None:
            continue
        room_m3 = _room_m3(tank, foam)
        if volume_m3 > room_m3 and volume_m3 - room_m3 > _excess(worst.get(tank.id)):
            worst[tank.id] = volume_m3, room_m3
    for id_, (volume_m3, room_m3) in worst.items():
        yield _too_full(ctx, "S26", "stop", ctx.plant.tanks[id_], volume_m3, room_m3)


def _room_m3(tank: Tank, foam: float) -> float:
    return min(tank.limit_m3, tank.capacity_m3 * (1.0 - foam))


def _excess(found: tuple[float, float] | None) -> float:
    return 0.0 if found is None else found[0] - found[1]


def _oil_when_dry_m3(ctx: Context) -> float:
    recipe = ctx.profile.recipe
    measured_c = clamped(recipe.batch.measured_at_c, 15.0, 110.0)
    hottest_c = clamped(recipe.drying.set_point_c, measured_c, 110.0)
    rho_15 = ctx.value("oil_density_15") or value(ctx.profile, "oil_density_15")
    cold, hot = (oil_density_kg_m3(warm_c, rho_15) for warm_c in (measured_c, hottest_c))
    return recipe.batch.oil_m3 * cold / hot


def fill_limits(ctx: Context) -> Iterator[Finding]:
    """S26: no vessel's own limit is above nine tenths."""
    for tank in ctx.plant.tanks.values():
        if tank.vessel.max_fill > FULLEST:
            yield ctx.finding(
                "S26-limit",
                "warn",
                ("vessels", tank.id, "max_fill"),
                [tank.id],
                vessel=ctx.name(tank.id),
                limit=ctx.stated(tank.vessel.max_fill, "fraction"),
                most=ctx.stated(FULLEST, "fraction"),
            )


def fill_limits_below_holes(ctx: Context) -> Iterator[Finding]:
    """S26: the fill limit stands below every hole for gas, the lowest of which is told.

    A hole that liquid covers lets it out, and lets neither air in nor vapour out; a fill limit above an
    overflow is never reached.
    """
    for tank in ctx.plant.tanks.values():
        level_m = tank.shape.level_at(tank.limit_m3)
        holes = [(port.mouth_m, key) for key, port in tank.vessel.ports.items() if port.space == "gas"]
        hole_m, key = min(holes, default=(math.inf, ""))
        if hole_m < level_m - LEVEL_SLACK_M:
            yield ctx.finding(
                "S26-port",
                "stop",
                ("vessels", tank.id, "ports", key),
                [tank.id],
                vessel=ctx.name(tank.id),
                port=key,
                height=ctx.stated(hole_m, "length"),
                level=ctx.least(level_m, "level"),
                room=ctx.most(tank.shape.volume_at(hole_m), "volume"),
            )


def receivers(ctx: Context) -> Iterator[Finding]:
    """Each container takes what one batch gives it."""
    for role, figure, rule, foam in RECEIVERS:
        tank, volume_m3 = ctx.plant.with_role(role), ctx.value(figure)
        if tank is not None and volume_m3 is not None and volume_m3 > _room_m3(tank, foam):
            yield _too_full(ctx, rule, "stop", tank, volume_m3, _room_m3(tank, foam))


def oil_on_hand(ctx: Context) -> Iterator[Finding]:
    """A batch that takes more than one container of oil."""
    tank, volume_m3 = ctx.plant.with_role("oil_supply"), ctx.profile.recipe.batch.oil_m3
    if tank is not None and volume_m3 > tank.limit_m3:
        yield _too_full(ctx, "volume-oil", "note", tank, volume_m3, tank.limit_m3)


def waste_water(ctx: Context) -> Iterator[Finding]:
    """One wash has to fit into the drum, and it is good to know when it will be full."""
    washing, each_m3 = ctx.profile.recipe.washing, ctx.value("wash_water")
    tank = ctx.plant.with_role("waste_water")
    if washing.method != "water" or tank is None or each_m3 is None:
        return
    if each_m3 > tank.limit_m3:
        yield _too_full(ctx, "volume-wash", "stop", tank, each_m3, tank.limit_m3)
    elif each_m3 * washing.washes > tank.limit_m3:
        yield _too_full(ctx, "volume-washes", "note", tank, each_m3 * washing.washes, tank.limit_m3)


def acid_layers(ctx: Context) -> Iterator[Finding]:
    """The acid layers of all rounds, where one fits and all of them do not."""
    each_m3, rounds = ctx.value("acid_waste_volume"), ctx.value("acid_rounds")
    tank = ctx.plant.with_role("acid_waste")
    if tank is None or each_m3 is None or rounds is None:
        return
    if each_m3 <= tank.limit_m3 < each_m3 * rounds:
        yield _too_full(ctx, "volume-acid-rounds", "note", tank, each_m3 * rounds, tank.limit_m3)


def _too_full(
    ctx: Context, rule: str, severity: Severity, tank: Tank, volume_m3: float, room_m3: float
) -> Finding:
    return ctx.finding(
        rule,
        severity,
        ("vessels", tank.id),
        [tank.id],
        vessel=ctx.name(tank.id),
        volume=ctx.least(volume_m3, "volume"),
        room=ctx.most(room_m3, "volume"),
    )


def gauges(ctx: Context) -> Iterator[Finding]:
    """S37: a vessel that is filled shows how full it is."""
    for tank in ctx.holding(FILLED_ROLES):
        if tank.vessel.gauge is None:
            at = ("vessels", tank.id)
            yield ctx.finding("S37", "warn", at, [tank.id], vessel=ctx.name(tank.id))
