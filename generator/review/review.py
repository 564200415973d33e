"""The review: every rule asked of one plant. A new rule is a function, its words, its test, its name here."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Final

from generator.figures.record import FigureBook
from generator.plant.lineup import LineUp, Want
from generator.plant.plant import Plant
from generator.problems import Place, Problem
from generator.profile.load import Loaded
from generator.review import (
    rules_condenser,
    rules_containment,
    rules_emergency,
    rules_finish,
    rules_fittings,
    rules_ignition,
    rules_isolation,
    rules_lineups,
    rules_materials,
    rules_oil,
    rules_power,
    rules_pumps,
    rules_relief,
    rules_shapes,
    rules_site,
    rules_temperatures,
    rules_vacuum,
    rules_vents,
    rules_volumes,
)
from generator.review.acceptance import accept
from generator.review.context import Context, Rule
from generator.review.finding import Finding

RULES: Final[tuple[Rule, ...]] = (
    rules_power.element_covered,
    rules_power.high_limit,
    rules_power.high_limit_setting,
    rules_condenser.water_trips_heat,
    rules_condenser.water_carries_heat,
    rules_power.watt_density,
    rules_power.volts,
    rules_power.circuit,
    rules_power.mains_load,
    rules_power.residual_current,
    rules_power.earthed_heaters,
    rules_temperatures.below_ceiling,
    rules_temperatures.settles_warm,
    rules_temperatures.dries_by_air,
    rules_temperatures.cool_before_injection,
    rules_temperatures.within_ratings,
    rules_temperatures.pumps_within_ratings,
    rules_temperatures.warm_neighbour,
    rules_temperatures.set_point_reached,
    rules_temperatures.thermostat_below_high_limit,
    rules_temperatures.cool_before_tower,
    rules_vents.vented_outdoors,
    rules_vents.vent_unvalved,
    rules_vents.vent_height,
    rules_vents.flame_arrester,
    rules_vents.passes_boil_off,
    rules_vents.vent_as_wide_as_fill,
    rules_vents.closed_vessels,
    rules_vents.heated_vessels_breathe,
    rules_vacuum.rated_vessels,
    rules_vacuum.collector_closed,
    rules_vacuum.pump_rated,
    rules_vacuum.pressure_reached,
    rules_materials.plastic,
    rules_materials.heated_plastic,
    rules_materials.metals_in_lye,
    rules_materials.metals_in_acid,
    rules_materials.metals_in_fuel,
    rules_ignition.fill_pipe,
    rules_fittings.metals_of_fittings,
    rules_fittings.hoses_stand_methanol,
    rules_fittings.hose_leaves_a_shut_port,
    rules_ignition.fill_speed,
    rules_ignition.bonded,
    rules_ignition.methanol_pump,
    rules_ignition.rated_pumps,
    rules_ignition.rated_heaters,
    rules_ignition.rated_agitators,
    rules_ignition.methoxide_stirred,
    rules_ignition.open_ends,
    rules_site.ventilation,
    rules_site.fan,
    rules_site.gas_alarm,
    rules_site.methanol_store,
    rules_site.alone,
    rules_site.titrant_base,
    rules_containment.bund_holds,
    rules_containment.bund_wanted,
    rules_containment.outside_bund,
    rules_emergency.stop_cuts_all,
    rules_emergency.stop_latches,
    rules_emergency.things_in_place,
    rules_volumes.headspace,
    rules_volumes.fill_limits,
    rules_volumes.fill_limits_below_holes,
    rules_volumes.receivers,
    rules_volumes.oil_on_hand,
    rules_volumes.waste_water,
    rules_volumes.acid_layers,
    rules_volumes.gauges,
    rules_shapes.capacity_stated,
    rules_shapes.ports_inside,
    rules_shapes.settler_drain,
    rules_shapes.large_heel,
    rules_shapes.no_drain,
    rules_shapes.side_outlet,
    rules_shapes.labels_differ,
    rules_pumps.relief,
    rules_relief.trapped_liquid,
    rules_isolation.shut_off_below_liquid,
    rules_pumps.suction_head,
    rules_pumps.turned_over,
    rules_pumps.priming,
    rules_pumps.restrictor_against_pump,
    rules_pumps.tower_rating,
    rules_pumps.tower_flow,
    rules_oil.way_of_the_oil,
    rules_oil.methanol_enough,
    rules_oil.acid_range,
    rules_oil.acid_rounds,
    rules_finish.settling_long_enough,
    rules_finish.methanol_washed_out,
    rules_finish.soap_to_the_tower,
    rules_finish.adsorbent_enough,
    rules_finish.own_values_count,
    rules_lineups.transfers_possible,
    rules_lineups.routes_used,
    rules_lineups.methoxide_runs_in,
    rules_lineups.valves_used,
    rules_lineups.at_rest,
    rules_lineups.figures_there,
    rules_site.small_cards,
)

_ORDER: Final = {"stop": 0, "accepted": 1, "warn": 2, "note": 3}


def review(
    loaded: Loaded,
    plant: Plant,
    figures: FigureBook,
    line_ups: tuple[LineUp, ...],
    refused: tuple[tuple[Want, Problem], ...] = (),
    lacking: tuple[str, ...] = (),
    today: date | None = None,
) -> tuple[Finding, ...]:
    """All findings, the worst first, then as they stand in the file.

    ``refused`` are transfers without a line-up and why, ``lacking`` figures that steps ask for in vain. What
    the owner accepted counts until its day, seen from ``today``.
    """
    context = Context(loaded, plant, figures, line_ups, refused, lacking)
    found = [finding for rule in RULES for finding in rule(context)]
    day = today or date.today()  # noqa: DTZ011 - the date on the wall is the place's own
    return ranked(_roots(accept(context, found, day)))


def _roots(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Without the figures that steps lack only because something else stops: that is told, and once."""
    told = tuple(findings)
    stops = [finding for finding in told if finding.stops and finding.rule != rules_lineups.FIGURE]
    stuck = any(finding.rule in rules_lineups.NO_WAY for finding in stops)
    struck = {part for finding in stops for part in finding.equipment}
    return tuple(
        finding
        for finding in told
        if finding.rule != rules_lineups.FIGURE
        or not finding.facts["of_steps"]
        or not (stuck or str(finding.facts["figure"]).partition(".")[0] in struck)
    )


def ranked(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The worst first, then as they stand in the file."""
    return tuple(sorted(findings, key=_rank))


def _rank(finding: Finding) -> tuple[int, Place, str, tuple[str, ...]]:
    return _ORDER[finding.standing], finding.place or Place(""), finding.rule, finding.equipment
