"""What circulation does, and what a pump must not do: run against a closed valve, boil in its suction."""

from __future__ import annotations

from typing import Final

from generator.chemistry import boiling, density, heat, mixing
from generator.figures.basis import Basis, Given, Inputs, clamped_c

ELECTRIC = ("centrifugal", "gear")
#: Turnovers after the methoxide is in (common practice, no source).
LEAST_TURNOVERS: Final = 3.0
#: However long it circulates, some of a mixed charge has not been through the pump (derived).
MOST_PASSED_FRACTION: Final = 0.9999


def add(basis: Basis) -> None:
    """Turnovers of the reaction; warming of a pump against a closed valve; suction head at the reactor."""
    _passed(basis)
    for pump_id, pump in basis.profile.pumps.items():
        if pump.kind in ELECTRIC and pump.power_w is not None:
            _dead_head(basis, pump_id, pump.power_w)
    _suction(basis)


def _passed(basis: Basis) -> None:
    rate, time = basis.book.get("turnovers"), basis.book["reaction_time"]
    if rate is None:
        return
    flow, charge = basis.flow_m3s(basis.react_pump) or 0.0, basis.book["charge_volume"]
    turned = mixing.turnovers(flow, time.value, charge.value)
    made_from: Inputs = {"N": rate, "t_r": time}
    three_s = mixing.circulation_time_s(LEAST_TURNOVERS, flow, charge.value)
    enough: Inputs = {"N_3": (LEAST_TURNOVERS, "ratio"), "V": charge, "Q": (flow, "flow")}
    basis.book.add("circulation_least", three_s, "time", enough)
    done = basis.book.add("turnovers_reaction", turned, "turnovers", made_from)
    share = min(mixing.passed_share(turned), MOST_PASSED_FRACTION)
    basis.book.add("passed_share", share, "fraction", {"N_r": done})


def _dead_head(basis: Basis, pump_id: str, power_w: float) -> None:
    """Warming in one minute of what is trapped in the casing, taken as ester at 40 °C."""
    trapped = basis.given("pump_liquid")
    rho = density.ester_density_kg_m3(40.0, density.ESTER_DENSITY_15_KG_M3)
    specific = heat.ester_specific_heat_j_kgk(40.0)
    rate_k_s = mixing.dead_head_heating_k_s(power_w, trapped.value * rho, specific)
    inputs: Inputs = {"P": (power_w, "power"), "V": trapped, "ρ": (rho, "density")}
    basis.book.add("dead_head", 60.0 * rate_k_s, "temperature_difference", inputs, subject=pump_id)


def _suction(basis: Basis) -> None:
    """Head that the reactor's lowest outlet offers the circulating pump at the ceiling."""
    tank, pump_id = basis.plant.with_role("react"), basis.react_pump
    if tank is None or pump_id is None:
        return
    mouths = [port.mouth_m for port in tank.vessel.ports.values() if port.space == "liquid"]
    if not mouths:
        return
    hot, pressure = basis.book["ceiling"], basis.book["site_pressure"]
    above = tank.vessel.elevation_m + min(mouths) - basis.profile.pumps[pump_id].elevation_m
    if not -10.0 <= above <= 20.0:
        return
    warm_c = clamped_c(hot.value, 0.0, 65.0)
    rho, vapour = density.methanol_density_kg_m3(warm_c), boiling.methanol_vapour_pressure_pa(warm_c)
    loss = basis.given("suction_loss")
    head = mixing.suction_head_available_m(pressure.value, vapour, rho, above, loss.value)
    height: Given = (above, "length")
    inputs: Inputs = {
        "P": pressure,
        "T": hot,
        "p_v": (vapour, "pressure"),
        "ρ": (rho, "density"),
        "z": height,
        "h_f": loss,
    }
    if head > 0.0 and above >= 0.0:
        basis.book.add("suction_head", head, "length", inputs, subject=pump_id)
