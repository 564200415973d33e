"""Set points against methanol's ceiling, ratings, and what a heater can reach."""

from __future__ import annotations

from collections.abc import Iterator

from generator.figures.tanks import heater_power_w
from generator.figures.values import loss_w_m2k
from generator.plant.plant import Tank
from generator.review.context import Context, Trail
from generator.review.finding import Finding, Severity
from generator.review.reach import sources


def below_ceiling(ctx: Context) -> Iterator[Finding]:
    """S03: whatever holds methanol is kept below its boiling point by the margin.

    Unwashed ester holds it; washed ester may hold some when it is dried.
    """
    recipe, ceiling_c = ctx.profile.recipe, ctx.value("ceiling")
    asked: list[tuple[str, Severity, float, Trail]] = [
        ("S03", "stop", recipe.reaction.set_point_c, ("recipe", "reaction", "set_point"))
    ]
    if recipe.acid_step:
        asked.append(("S03-acid", "stop", recipe.acid_step.set_point_c, ("recipe", "acid_step", "set_point")))
    if recipe.washing.method == "water":
        wash, at = recipe.washing, ("recipe", "washing")
        asked.append(("S03-wash", "stop", wash.temperature_c, (*at, "temperature")))
        if _dries_hot(ctx):
            asked.append(("S03-dry", "warn", wash.dry_set_point_c, (*at, "dry_set_point")))
    for rule, severity, set_c, place in asked if ceiling_c is not None else ():
        if ceiling_c is not None and set_c > ceiling_c:
            facts = {"set_point": ctx.stated(set_c, "temperature")}
            facts["ceiling"] = ctx.most(ceiling_c, "temperature")
            yield ctx.finding(rule, severity, place, **facts)


def _dries_hot(ctx: Context) -> bool:
    """Whether the vessel in which washed fuel is dried has a heater: without one no set point is reached."""
    tank = ctx.plant.with_role("wash")
    return tank is not None and bool(tank.vessel.heaters)


def dries_by_air(ctx: Context) -> Iterator[Finding]:
    """Washed fuel in a vessel without a heater is dried by air alone, while the air is dry enough."""
    tank, most = ctx.plant.with_role("wash"), ctx.value("air_humidity_most")
    if ctx.profile.recipe.washing.method == "water" and tank and most is not None and not _dries_hot(ctx):
        facts = {"vessel": ctx.name(tank.id), "humidity": ctx.most(most, "fraction")}
        yield ctx.finding("dries-by-air", "note", ("recipe", "washing", "dry_set_point"), [tank.id], **facts)


def settles_warm(ctx: Context) -> Iterator[Finding]:
    """Glycerin that gets cold while it settles sets above the drain."""
    settled_c, sets_c = ctx.value("settled_temperature"), ctx.value("glycerin_sets")
    tank = ctx.plant.with_role("settle")
    if settled_c is not None and sets_c is not None and tank is not None and settled_c < sets_c:
        facts = {"vessel": ctx.name(tank.id), "least": ctx.least(sets_c, "temperature")}
        facts["settled"] = ctx.most(settled_c, "temperature")
        facts["air"] = ctx.stated(ctx.profile.site.ambient.lowest_c, "temperature")
        yield ctx.finding("settles-cold", "warn", ("recipe", "settling"), [tank.id], **facts)


def thermostat_below_high_limit(ctx: Context) -> Iterator[Finding]:
    """S03, S04: the thermostat ends the heating below the ceiling, and before the high limit has to.

    It does so at the set point and its differential together. The worse of the two is told; a set point that
    is itself above the ceiling is another rule's matter.
    """
    tank, limit_c, ceiling_c = ctx.plant.with_role("react"), ctx.value("high_limit"), ctx.value("ceiling")
    set_c = _hottest_with_methanol_c(ctx)
    if tank is None or limit_c is None or ceiling_c is None or set_c > ceiling_c:
        return
    for key, heater in tank.vessel.heaters.items():
        reached_c = set_c + heater.thermostat.differential_k
        rule = "differential-wide" if reached_c >= limit_c else "S03-thermostat"
        if reached_c > ceiling_c:
            facts = {"heater": heater.label, "set_point": ctx.stated(set_c, "temperature")}
            facts["differential"] = ctx.stated(heater.thermostat.differential_k, "temperature_difference")
            facts["limit"] = ctx.most(limit_c, "temperature")
            facts["ceiling"] = ctx.most(ceiling_c, "temperature")
            facts["reached"] = ctx.least(reached_c, "temperature")
            at = ("vessels", tank.id, "heaters", key, "thermostat", "differential")
            yield ctx.finding(rule, "warn", at, [f"{tank.id}.{key}"], **facts)


def _hottest_with_methanol_c(ctx: Context) -> float:
    """The highest set point at which the reactor holds methanol: of the reaction or of an acid step."""
    recipe = ctx.profile.recipe
    points = [recipe.reaction.set_point_c, *([recipe.acid_step.set_point_c] if recipe.acid_step else [])]
    return max(points)


def cool_before_injection(ctx: Context) -> Iterator[Finding]:
    """S05: oil dried hotter than the preheat has to cool before methoxide meets it, and how long that is."""
    preheat_c, set_c = ctx.value("preheat"), ctx.profile.recipe.drying.set_point_c
    wait = ctx.figures.get("cool_to_preheat_time")
    if preheat_c is not None and set_c > preheat_c and wait is not None:
        facts = {"set_point": ctx.stated(set_c, "temperature"), "preheat": ctx.most(preheat_c, "temperature")}
        facts["wait"] = wait.text
        yield ctx.finding("S05", "note", ("recipe", "drying", "set_point"), **facts)


def duties(ctx: Context) -> Iterator[tuple[Tank, float, Trail]]:
    """Every vessel that is heated or takes liquid hot, with the set point and where the profile says it."""
    recipe = ctx.profile.recipe
    points: dict[str, list[tuple[float, Trail]]] = {
        "dry": [(recipe.drying.set_point_c, ("recipe", "drying", "set_point"))],
        "react": [(recipe.reaction.set_point_c, ("recipe", "reaction", "set_point"))],
        "settle": [(recipe.reaction.set_point_c, ("recipe", "reaction", "set_point"))],
    }
    if recipe.acid_step:
        points["react"].append((recipe.acid_step.set_point_c, ("recipe", "acid_step", "set_point")))
    if recipe.stripping:
        points["strip"] = [(recipe.stripping.set_point_c, ("recipe", "stripping", "set_point"))]
    if recipe.washing.method == "water":
        points["wash"] = [
            (recipe.washing.temperature_c, ("recipe", "washing", "temperature")),
        ]
        if _dries_hot(ctx):
            points["wash"].append((recipe.washing.dry_set_point_c, ("recipe", "washing", "dry_set_point")))
    for role, asked in points.items():
        tank = ctx.plant.with_role(role)
        for set_c, at in asked if tank else ():
            if tank:
                yield tank, set_c, at


def within_ratings(ctx: Context) -> Iterator[Finding]:
    """No vessel is run hotter than it may be."""
    for tank, set_c, at in duties(ctx):
        most_c = tank.vessel.max_temperature_c
        if most_c is not None and set_c > most_c:
            yield ctx.finding(
                "vessel-temperature",
                "stop",
                at,
                [tank.id],
                vessel=ctx.name(tank.id),
                set_point=ctx.stated(set_c, "temperature"),
                limit=ctx.stated(most_c, "temperature"),
            )


def pumps_within_ratings(ctx: Context) -> Iterator[Finding]:
    """No pump draws hotter liquid than it may take."""
    for id_, pump in ctx.profile.pumps.items():
        fed = {port.partition(".")[0] for port in sources(ctx.network, id_)}
        hottest = max(((set_c, tank.id) for tank, set_c, _ in duties(ctx) if tank.id in fed), default=None)
        if hottest and pump.max_temperature_c is not None and hottest[0] > pump.max_temperature_c:
            yield ctx.finding(
                "pump-temperature",
                "stop",
                ("pumps", id_, "max_temperature"),
                [id_, hottest[1]],
                pump=ctx.name(id_),
                vessel=ctx.name(hottest[1]),
                set_point=ctx.stated(hottest[0], "temperature"),
                limit=ctx.stated(pump.max_temperature_c, "temperature"),
            )


def warm_neighbour(ctx: Context) -> Iterator[Finding]:
    """S03: heat goes through a shared wall; a hot vessel may boil the methanol next to it."""
    ceiling_c = ctx.value("ceiling")
    for tank, set_c, at in duties(ctx) if ceiling_c is not None else ():
        beside = {id_ for id_, vessel in ctx.profile.vessels.items() if vessel.shares_wall_with == tank.id}
        beside |= {tank.vessel.shares_wall_with} if tank.vessel.shares_wall_with else set()
        for other in sorted(beside):
            holds_methanol = ctx.methanol_roles & set(ctx.profile.vessels[other].roles)
            if holds_methanol and ceiling_c is not None and set_c > ceiling_c:
                facts = {"vessel": ctx.name(tank.id), "other": ctx.name(other)}
                facts["ceiling"] = ctx.most(ceiling_c, "temperature")
                facts["hot"] = ctx.stated(set_c, "temperature")
                yield ctx.finding("S03-wall", "warn", at, [tank.id, other], **facts)


def set_point_reached(ctx: Context) -> Iterator[Finding]:
    """Power against heat loss: T = Ta + P / (U A) is as hot as the vessel gets."""
    ambient = ctx.profile.site.ambient
    for tank, set_c, at in duties(ctx):
        power_w = sum(heater_power_w(heater) for heater in tank.vessel.heaters.values())
        if not power_w:
            continue
        rise_k = power_w / _loss_w_k(ctx, tank)
        facts = {"vessel": ctx.name(tank.id), "set_point": ctx.stated(set_c, "temperature")}
        air_c = ambient.usual_c if ambient.usual_c + rise_k <= set_c else ambient.lowest_c
        facts |= {"air": ctx.stated(air_c, "temperature"), "hottest": ctx.most(air_c + rise_k, "temperature")}
        if ambient.usual_c + rise_k <= set_c:
            yield ctx.finding("never-reached", "stop", at, [tank.id], **facts)
        elif ambient.lowest_c + rise_k <= set_c:
            yield ctx.finding("never-reached-cold", "warn", at, [tank.id], **facts)


def _loss_w_k(ctx: Context, tank: Tank) -> float:
    return loss_w_m2k(ctx.profile, tank.vessel) * tank.shape.shell_area_m2()


def cool_before_tower(ctx: Context) -> Iterator[Finding]:
    """Fuel hotter than a tower may take has to cool first."""
    stripping = ctx.profile.recipe.stripping
    for id_, part in ctx.profile.inline.items():
        most_c = part.max_temperature_c
        if stripping and most_c is not None and stripping.set_point_c > most_c:
            facts = {"tower": ctx.name(id_), "limit": ctx.stated(most_c, "temperature")}
            shown = ctx.stated(stripping.set_point_c, "temperature")
            at = ("inline", id_, "max_temperature")
            yield ctx.finding("cool-before-tower", "note", at, [id_], set_point=shown, **facts)
