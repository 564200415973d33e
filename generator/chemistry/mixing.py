"""Circulation: turnovers, letting methoxide in, suction head, a pump against a closed valve."""

from __future__ import annotations

import math
from typing import Final

from generator.chemistry.ranges import fractions, not_negative, positive, within

_GRAVITY_M_S2: Final = 9.80665
#: Least injection time, and the largest share of the pump's flow (both common practice, no source).
INJECTION_LEAST_S: Final = 600.0
INJECTION_FLOW_SHARE: Final = 0.20


def turnovers(flow_m3s: float, time_s: float, volume_m3: float) -> float:
    """How many times a tank's contents pass the pump in a time.

    Equation: N = Q t / V.
    Args:
        flow_m3s: circulation flow [m3/s], 0 or more.
        time_s: time [s], 0 or more.
        volume_m3: liquid in the tank [m3], above 0.
    Returns: turnovers [1].
    Source: derived; definition.
    """
    not_negative(flow_m3s=flow_m3s, time_s=time_s)
    positive(volume_m3=volume_m3)
    return flow_m3s * time_s / volume_m3


def circulation_time_s(turnovers_wanted: float, flow_m3s: float, volume_m3: float) -> float:
    """Time for a wanted number of turnovers.

    Equation: t = N V / Q.
    Args:
        turnovers_wanted: turnovers [1], 0 or more.
        flow_m3s: circulation flow [m3/s], above 0.
        volume_m3: liquid in the tank [m3], above 0.
    Returns: time [s].
    Source: derived; definition.
    """
    not_negative(turnovers_wanted=turnovers_wanted)
    positive(flow_m3s=flow_m3s, volume_m3=volume_m3)
    return turnovers_wanted * volume_m3 / flow_m3s


def passed_share(turnovers_done: float) -> float:
    """Share of a perfectly mixed tank that has passed the pump at least once.

    Equation: 1 - exp(-N).
    Args:
        turnovers_done: turnovers [1], 0 or more.
    Returns: share [fraction].
    Source: derived; perfectly mixed tank.
    """
    not_negative(turnovers_done=turnovers_done)
    return -math.expm1(-turnovers_done)


def injection_flow_most_m3s(pump_flow_m3s: float, share: float) -> float:
    """Largest flow at which methoxide is let into a running circulation.

    Equation: q = s Q.
    Args:
        pump_flow_m3s: circulation flow [m3/s], above 0.
        share: share of the pump's flow [fraction], 0 to 1; 0.20 is customary.
    Returns: flow [m3/s].
    Source: common practice, no source; 20 % of the pump's flow.
    """
    positive(pump_flow_m3s=pump_flow_m3s)
    fractions(share=share)
    return share * pump_flow_m3s


def injection_time_least_s(
    methoxide_m3: float, oil_m3: float, pump_flow_m3s: float, share: float, least_s: float
) -> float:
    """Shortest time in which methoxide may be let in.

    Equation: t = max(t_least, V_oil / Q, V_methoxide / (s Q)).
    Args:
        methoxide_m3: methoxide to let in [m3], above 0.
        oil_m3: liquid in circulation [m3], above 0.
        pump_flow_m3s: circulation flow [m3/s], above 0.
        share: largest share of the pump's flow [fraction], above 0 to 1; 0.20 is customary.
        least_s: shortest time whatever the sizes [s], 0 or more; 600 is customary.
    Returns: time [s]: the customary least, one turnover or the flow limit, whichever is longest.
    Source: common practice, no source; combined here.
    """
    positive(methoxide_m3=methoxide_m3, oil_m3=oil_m3, pump_flow_m3s=pump_flow_m3s, share=share)
    not_negative(least_s=least_s)
    flow = injection_flow_most_m3s(pump_flow_m3s, share)
    return max(least_s, oil_m3 / pump_flow_m3s, methoxide_m3 / flow)


def suction_head_available_m(
    pressure_pa: float,
    vapour_pressure_pa: float,
    density_kg_m3: float,
    liquid_above_pump_m: float,
    loss_m: float,
) -> float:
    """Net positive suction head a plant offers its pump; below the pump's need it cavitates.

    Equation: NPSH = (P - pv) / (rho g) + z - hf.
    Args:
        pressure_pa: air pressure at the site [Pa], above 0.
        vapour_pressure_pa: vapour pressure of the liquid [Pa], 0 or more.
        density_kg_m3: density of the liquid [kg/m3], above 0.
        liquid_above_pump_m: liquid level above the pump, negative below it [m], -10 to 20.
        loss_m: friction in the suction line [m], 0 or more.
    Returns: head [m], negative where the liquid would boil in the suction.
    Source: derived; hydrostatics.
    """
    positive(pressure_pa=pressure_pa, density_kg_m3=density_kg_m3)
    not_negative(vapour_pressure_pa=vapour_pressure_pa, loss_m=loss_m)
    within("liquid_above_pump_m", liquid_above_pump_m, -10.0, 20.0)
    return (pressure_pa - vapour_pressure_pa) / (density_kg_m3 * _GRAVITY_M_S2) + liquid_above_pump_m - loss_m


def through_flow_rise_k(power_w: float, mass_flow_kg_s: float, specific_heat_j_kgk: float) -> float:
    """How much warmer liquid leaves a pump than it came, where little flow takes up all its power.

    Equation: dT = P / (m' cp).
    Args:
        power_w: motor power [W], above 0.
        mass_flow_kg_s: flow through the pump [kg/s], above 0.
        specific_heat_j_kgk: specific heat of the liquid [J/kgK], above 0.
    Returns: rise [K], the most it can be: casing and motor give some heat to the air.
    Source: derived; all motor power into the liquid.
    """
    positive(power_w=power_w, mass_flow_kg_s=mass_flow_kg_s, specific_heat_j_kgk=specific_heat_j_kgk)
    return power_w / (mass_flow_kg_s * specific_heat_j_kgk)


def dead_head_heating_k_s(power_w: float, mass_kg: float, specific_heat_j_kgk: float) -> float:
    """How fast the liquid trapped in a pump running against a closed valve warms up.

    Equation: dT/dt = P / (m cp).
    Args:
        power_w: motor power [W], above 0.
        mass_kg: liquid trapped in the casing [kg], above 0.
        specific_heat_j_kgk: specific heat of the liquid [J/kgK], above 0.
    Returns: warming rate [K/s].
    Source: derived; all motor power into the liquid.
    """
    positive(power_w=power_w, mass_kg=mass_kg, specific_heat_j_kgk=specific_heat_j_kgk)
    return power_w / (mass_kg * specific_heat_j_kgk)
