"""Heating, cooling and heat loss of the vessels, for each duty a vessel has."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry import heat, heating, runaway, shell_loss
from generator.figures.basis import Basis, Given, Inputs, clamped_c, plain, thermometer_k
from generator.figures.record import Figure
from generator.figures.temperatures import charge_capacity_j_k, oil_capacity_j_k
from generator.plant.plant import Tank

MINUTE_S: Final = 60.0
#: Glycerin of a batch may set below this (common practice, no source).
GLYCERIN_SETS_C: Final = 35.0
#: Mineral wool and the loss from its outside (library-computed and published: see chemistry.shell_loss).
WOOL_M: Final = 0.050
WOOL_W_MK: Final = 0.040
OUTSIDE_W_M2K: Final = 8.0
#: A rise below this is none: the mix landed on its set point.
NO_RISE_K: Final = 1e-6


@dataclass(frozen=True)
class Duty:
    """Warming a vessel's contents from ``start`` to ``target``; ``capacity_j_k`` includes any evaporation."""

    kind: str
    role: str
    capacity_j_k: float
    start: Given
    target: Figure


def add_batch(basis: Basis) -> None:
    """Drying and reaction: times, time to boiling with a stuck thermostat, cooling before injection."""
    lowest: Given = (basis.site.ambient.lowest_c, "temperature")
    drying, set_point = basis.book["drying_set_point"], basis.book["reaction_set_point"]
    middle = 0.5 * (basis.site.ambient.lowest_c + drying.value)
    add_duty(basis, Duty("heating_time_dry", "dry", oil_capacity_j_k(basis, middle), lowest, drying))
    preheat = basis.book["preheat"]
    cold = oil_capacity_j_k(basis, 0.5 * (basis.site.ambient.lowest_c + preheat.value))
    add_duty(basis, Duty("heating_time_preheat", "react", cold, lowest, preheat))
    mixed = basis.book["mix_temperature"]
    add_duty(basis, Duty("heating_time_react", "react", charge_capacity_j_k(basis), mixed, set_point))
    _runaway(basis)
    dryer = basis.plant.with_role("dry")
    if dryer is not None:
        capacity = oil_capacity_j_k(basis, 0.5 * (drying.value + preheat.value))
        add_cooling(basis, "cool_to_preheat_time", dryer, capacity, drying, preheat)


def add_duty(basis: Basis, duty: Duty) -> None:
    """The time a duty takes on the coldest day; the temperature it stops at where it never gets there."""
    tank = basis.plant.with_role(duty.role)
    start_c = plain(duty.start)
    if tank is None or not tank.vessel.heaters or duty.target.value - start_c < NO_RISE_K:
        return
    ambient_c = basis.site.ambient.lowest_c
    ambient: Given = (ambient_c, "temperature")
    power = basis.book[f"{tank.id}.element_power"]
    loss = basis.loss_inputs(tank)
    answer = heating.heating_time(
        duty.capacity_j_k, power.value, basis.loss_w_k(tank), ambient_c, start_c, duty.target.value
    )
    if isinstance(answer, heating.NeverReaches):
        if f"{tank.id}.heating_reaches" not in basis.book:
            inputs: Inputs = {"P": power, "T_a": ambient, **loss}
            basis.book.add(
                "heating_reaches",
                answer.limit_c,
                "temperature",
                inputs,
                subject=tank.id,
                resolution=thermometer_k(tank),
            )
        return
    inputs = {
        "C": (duty.capacity_j_k, "heat_capacity"),
        "P": power,
        "T_1": duty.start,
        "T_2": duty.target,
        "T_a": ambient,
    }
    basis.book.add(duty.kind, answer.time_s, "time", inputs | loss, subject=tank.id)


def comes_cold(basis: Basis) -> bool:
    """Whether the oil comes to the reactor as cold as the place: nothing warmed it for drying."""
    tank = basis.plant.with_role("dry")
    return tank is None or f"{tank.id}.heating_time_dry" not in basis.book


def _runaway(basis: Basis) -> None:
    """Heater stuck on where its thermostat should end, smallest charge, no loss: the soonest boiling."""
    tank = basis.plant.with_role("react")
    if tank is None or not tank.vessel.heaters:
        return
    capacity, power = charge_capacity_j_k(basis, "can_methanol_mass"), basis.book[f"{tank.id}.element_power"]
    set_point, end = basis.book["reaction_set_point"], basis.book["methanol_boiling_point"]
    above_k = max(heater.thermostat.differential_k for heater in tank.vessel.heaters.values())
    start_c = min(set_point.value + above_k, end.value)
    latent = heat.methanol_latent_heat_j_kg(clamped_c(end.value, 0.0, 65.0))
    no_loss_w_k, ambient_c = 0.0, basis.site.ambient.highest_c
    answer = runaway.runaway(capacity, power.value, no_loss_w_k, ambient_c, start_c, end.value, latent)
    if isinstance(answer, runaway.Runaway):
        inputs: Inputs = {"C": (capacity, "heat_capacity"), "T_b": end, "T_r": set_point, "P": power}
        inputs["ΔT_d"] = (start_c - set_point.value, "temperature_difference")
        basis.book.add("runaway_time", answer.time_s, "time", inputs)


def add_cooling(
    basis: Basis,
    kind: str,
    tank: Tank,
    capacity_j_k: float,
    start: Figure,
    target: Given,
) -> None:
    """Time a vessel left to itself takes to cool on the hottest day; nothing where it need not, or cannot."""
    target_c = plain(target)
    ambient_c = basis.site.ambient.highest_c
    if target_c >= start.value or target_c <= ambient_c:
        return
    coefficient, area_m2 = basis.cooling_coefficient(tank), tank.shape.shell_area_m2()
    loss_w_k = coefficient.value * area_m2
    answer = heating.cooling_time(capacity_j_k, loss_w_k, ambient_c, start.value, target_c)
    if isinstance(answer, heating.Reaches):
        inputs: Inputs = {
            "C": (capacity_j_k, "heat_capacity"),
            "T_1": start,
            "T_2": target,
            "T_a": (ambient_c, "temperature"),
            "U": coefficient,
            "A": (area_m2, "area"),
        }
        basis.book.add(kind, answer.time_s, "time", inputs, resolution=MINUTE_S)


def add_settled(basis: Basis) -> None:
    """Temperature after the rest on the coldest day; products keep heat much as the charge does."""
    settle = basis.book.add("settle_time", basis.recipe.settling.time_s, "time")
    tank = basis.plant.with_role("settle")
    if tank is None:
        return
    start, ambient_c = basis.book["reaction_set_point"], basis.site.ambient.lowest_c
    capacity = charge_capacity_j_k(basis)
    value = heating.temperature_after_c(
        capacity, 0.0, basis.loss_w_k(tank), ambient_c, start.value, settle.value
    )
    inputs: Inputs = {
        "C": (capacity, "heat_capacity"),
        "T_r": start,
        "T_a": (ambient_c, "temperature"),
        "t": settle,
        **basis.loss_inputs(tank),
    }
    settled = basis.book.add(
        "settled_temperature", value, "temperature", inputs, resolution=thermometer_k(tank)
    )
    _drain_by(basis, tank, capacity, settled)
    if basis.recipe.stages == 2:
        add_duty(basis, Duty("heating_time_second", "react", capacity, settled, start))


def _drain_by(basis: Basis, tank: Tank, capacity_j_k: float, settled: Figure) -> None:
    """How long a batch may rest on the coldest day before its glycerin sets; nothing where it stays warm."""
    book, ambient_c = basis.book, basis.site.ambient.lowest_c
    sets = book.add("glycerin_sets", GLYCERIN_SETS_C, "temperature")
    start = book["reaction_set_point"]
    if settled.value >= sets.value or start.value <= sets.value:
        return
    answer = heating.cooling_time(capacity_j_k, basis.loss_w_k(tank), ambient_c, start.value, sets.value)
    if isinstance(answer, heating.Reaches):
        inputs: Inputs = {
            "C": (capacity_j_k, "heat_capacity"),
            "T_r": start,
            "T_set": sets,
            "T_a": (ambient_c, "temperature"),
        }
        book.add("drain_by", answer.time_s, "time", inputs | basis.loss_inputs(tank), resolution=MINUTE_S)


def ester_capacity_j_k(mass_kg: float, middle_c: float) -> float:
    """Heat that warms an amount of ester by a kelvin, J/K; above 70 °C as at 70 °C."""
    return mass_kg * heat.ester_specific_heat_j_kgk(clamped_c(middle_c, 15.0, 70.0))


def add_losses(basis: Basis) -> None:
    """Heat each heated vessel loses on the coldest day at the hottest set point of its duties."""
    hottest = {
        "dry": ("drying_set_point",),
        "react": ("reaction_set_point",),
        "strip": ("strip_set_point",),
        "wash": ("fuel_drying_set_point",),
    }
    ambient_c = basis.site.ambient.lowest_c
    for tank in basis.plant.tanks.values():
        kinds = [kind for role in tank.vessel.roles for kind in hottest.get(role, ())]
        points = [basis.book[kind] for kind in kinds if kind in basis.book]
        if tank.vessel.heaters and points:
            point = max(points, key=lambda figure: figure.value)
            warm_c = max(point.value, ambient_c)
            coefficient, area_m2 = basis.loss_coefficient(tank).value, tank.shape.shell_area_m2()
            loss = heating.heat_loss_w(coefficient, area_m2, warm_c, ambient_c)
            inputs: Inputs = {"T": point, "T_a": (ambient_c, "temperature"), **basis.loss_inputs(tank)}
            basis.book.add("heat_loss", loss, "power", inputs, subject=tank.id)
            if not tank.vessel.insulated:
                _with_wool(basis, tank, point, ambient_c)


def _with_wool(basis: Basis, tank: Tank, point: Figure, ambient_c: float) -> None:
    """What a bare vessel would lose behind wool."""
    wool_w_m2k = shell_loss.insulated_loss_w_m2k(WOOL_M, WOOL_W_MK, OUTSIDE_W_M2K)
    area_m2 = tank.shape.shell_area_m2()
    loss = heating.heat_loss_w(wool_w_m2k, area_m2, max(point.value, ambient_c), ambient_c)
    inputs: Inputs = {
        "s": (WOOL_M, "length"),
        "A": (area_m2, "area"),
        "T": point,
        "T_a": (ambient_c, "temperature"),
    }
    basis.book.add("heat_loss_wool", loss, "power", inputs, subject=tank.id)
