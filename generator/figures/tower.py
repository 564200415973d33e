"""The tower of resin or adsorbent: flow, time, and how much fuel it cleans."""

from __future__ import annotations

import math
from typing import Final

from generator.chemistry import adsorbent, density, heat, mixing, resin, verdicts, washing
from generator.figures.basis import Basis, Given, Inputs, plain
from generator.figures.heating import add_cooling, ester_capacity_j_k
from generator.figures.products import fuel_kg
from generator.figures.record import Figure
from generator.profile.piping import Inline
from generator.profile.recipe import DryWash

#: Soap left behind the resin (published: Wall, Van Gerpen and Thompson 2011: 1200 to below 50 ppm).
SOAP_OUT_FRACTION: Final = 50e-6
ROOM_C: Final = 20.0
#: Fuel on its way to the tower, as to its density and heat (common practice, no source).
FEED_C: Final = 50.0


def resin_tower(basis: Basis) -> tuple[str, Inline] | None:
    """The tower of ion-exchange resin, None where there is none."""
    return next((pair for pair in basis.profile.inline.items() if pair[1].kind == "resin_tower"), None)


def adsorbent_tower(basis: Basis) -> tuple[str, Inline] | None:
    """A tower of adsorbent of which everything is known, None where there is none."""
    for id_, part in basis.profile.inline.items():
        if part.kind == "adsorbent_tower" and None not in (
            part.bed_volume_m3,
            part.adsorbent_kg,
            part.soap_uptake,
        ):
            return id_, part
    return None


def add_soap(basis: Basis, recipe: DryWash) -> None:
    """Most soap the tower may get; resin turns it into acid, for which the fuel needs room."""
    book, base = basis.book, basis.recipe.catalyst.base
    soap_ppm = recipe.soap_in_ppm
    inputs: Inputs = {"S_p": (recipe.soap_in_ppm, "parts_per_million")}
    if resin_tower(basis) is not None:
        acid, most = basis.given("fuel_acid_value"), verdicts.ACID_VALUE_LIMIT_MG_G
        soap_ppm = min(soap_ppm, resin.soap_allowed_fraction(acid.value, most, base) * 1e6)
        inputs["S_most"] = (resin.SOAP_MOST_FRACTION * 1e6, "parts_per_million")
        inputs |= {"AV_most": (most, "ratio"), "AV_0": acid}
    soap_in = book.add("soap_to_tower", soap_ppm, "parts_per_million", inputs)
    if resin_tower(basis) is not None:
        added = washing.acid_value_added_mg_g(base, soap_in.value * 1e-6)
        book.add("acid_added_by_tower", added, "ratio", {"S": soap_in})


def add(basis: Basis, recipe: DryWash, tower_id: str, tower: Inline) -> None:
    """Flow, time and life of the tower; cooling before it where the fuel comes hot."""
    book, fuel = basis.book, basis.book["fuel_volume"]
    bed = tower.bed_volume_m3 or 0.0
    volume: Given = (bed, "volume")
    flow_m3s = washing.bed_flow_m3s(bed, basis.given("bed_volumes").value)
    inputs: Inputs = {"n": basis.given("bed_volumes"), "V_bed": volume}
    restricted = _restrictor_m3s(basis, tower_id)
    if restricted is not None:
        inputs["Q_r"] = (restricted, "flow")
        flow_m3s = min(flow_m3s, restricted)
    flow = book.add("tower_flow", flow_m3s, "flow", inputs)
    book.add("tower_time", fuel.value / flow.value, "time", {"V_F": fuel, "Q": flow})
    if tower.kind == "adsorbent_tower":
        _adsorbent_life(basis, tower)
    else:
        litres = _tower_litres(basis, recipe, tower, volume)
        batches = math.floor(litres.value / fuel.value)
        book.add("tower_batches", float(batches), "count", {"V_tower": litres, "V_F": fuel})
    tank = basis.plant.with_role("strip")
    if tank is not None and tower.max_temperature_c is not None and "strip_set_point" in book:
        hot = book["strip_set_point"]
        cool = _feed(basis, flow, tower.max_temperature_c) or (tower.max_temperature_c, "temperature")
        capacity = ester_capacity_j_k(fuel_kg(basis), 0.5 * (hot.value + plain(cool)))
        add_cooling(basis, "cool_to_tower_time", tank, capacity, hot, cool)


def _adsorbent_life(basis: Basis, tower: Inline) -> None:
    """What a filling of adsorbent takes out of a batch, what a batch takes of it, fuel until it is full."""
    book, mass_kg = basis.book, fuel_kg(basis)
    there_kg, uptake = tower.adsorbent_kg or 0.0, tower.soap_uptake or 0.0
    fuel: Given = (mass_kg, "mass")
    there: Given = (there_kg, "mass")
    takes: Given = (uptake, "mass_fraction")
    removed = adsorbent.adsorbed_fraction(uptake, there_kg, mass_kg)
    inputs: Inputs = {"q": takes, "m_A": there, "m_F": fuel}
    book.add("adsorbent_takes", removed * 1e6, "parts_per_million", inputs)
    soap_in = basis.book["soap_to_tower"]
    to_take = max(0.0, soap_in.value * 1e-6 - SOAP_OUT_FRACTION)
    if to_take == 0.0:
        return
    inputs = {
        "m_F": fuel,
        "S_in": soap_in,
        "S_out": (1e6 * SOAP_OUT_FRACTION, "parts_per_million"),
        "q": takes,
    }
    need = book.add(
        "adsorbent_per_batch", adsorbent.adsorbent_needed_kg(mass_kg, to_take, uptake), "mass", inputs
    )
    volume = book["fuel_volume"]
    litres = volume.value * there_kg / need.value
    book.add("adsorbent_litres", litres, "volume", {"V_F": volume, "m_A": there, "m_B": need})


def _feed(basis: Basis, flow: Figure, most_c: float) -> Figure | None:
    """How warm the tank may be: a pump held back by the tower's restrictor warms what it sends."""
    pump = basis.profile.pumps.get(basis.finish_pump or "")
    if pump is None or pump.power_w is None:
        return None
    specific = heat.ester_specific_heat_j_kgk(FEED_C)
    rho = density.ester_density_kg_m3(FEED_C, density.ESTER_DENSITY_15_KG_M3)
    rise_k = mixing.through_flow_rise_k(pump.power_w, flow.value * rho, specific)
    inputs: Inputs = {"P": (pump.power_w, "power"), "Q": flow, "ρ": (rho, "density")}
    rise = basis.book.add("tower_pump_rise", rise_k, "temperature_difference", inputs)
    made_from: Inputs = {"T_max": (most_c, "temperature"), "ΔT_P": rise}
    return basis.book.add("tower_feed", most_c - rise.value, "temperature", made_from)


def _tower_litres(basis: Basis, recipe: DryWash, tower: Inline, volume: Given) -> Figure:
    """Fuel until soap or glycerin ends the run, whichever comes first."""
    bed, soap_in = tower.bed_volume_m3 or 0.0, basis.value("soap_to_tower") * 1e-6
    capacity = _capacity(basis, tower, volume)
    life = resin.bed_life(
        bed,
        plain(capacity),
        basis.recipe.catalyst.base,
        density.ester_density_kg_m3(ROOM_C, density.ESTER_DENSITY_15_KG_M3),
        # Fuel no soapier than what the bed lets through never ends the run by its soap.
        (max(soap_in, SOAP_OUT_FRACTION * 1.0001), SOAP_OUT_FRACTION),
        recipe.glycerin_in,
        basis.value("fuel_volume"),
    )
    inputs: Inputs = {
        "V_bed": volume,
        "a": capacity,
        "S_in": basis.book["soap_to_tower"],
        "S_out": (1e6 * SOAP_OUT_FRACTION, "parts_per_million"),
        "G_in": (recipe.glycerin_in, "mass_fraction"),
        "G_out": (resin.GLYCERIN_OUT_FRACTION, "mass_fraction"),
    }
    return basis.book.add("tower_litres", life.fuel_m3, "volume", inputs)


def _capacity(basis: Basis, tower: Inline, volume: Given) -> Given:
    """Capacity of the resin: as stated, else what the last bed took by the plant's log, eq/L."""
    run = tower.last_bed
    if tower.capacity_eq_per_l is not None or run is None:
        return tower.capacity_eq_per_l or 0.0, "normality"
    rho = density.ester_density_kg_m3(ROOM_C, density.ESTER_DENSITY_15_KG_M3)
    took = resin.capacity_from_run_mol_l(
        run.fuel_m3 / plain(volume),
        basis.recipe.catalyst.base,
        rho,
        run.soap_in_ppm * 1e-6,
        run.soap_out_ppm * 1e-6,
    )
    inputs: Inputs = {
        "V_run": (run.fuel_m3, "volume"),
        "V_bed": volume,
        "ρ": (rho, "density"),
        "S_1": (run.soap_in_ppm, "parts_per_million"),
        "S_2": (run.soap_out_ppm, "parts_per_million"),
    }
    return basis.book.add("tower_capacity", took, "normality", inputs)


def _restrictor_m3s(basis: Basis, tower_id: str) -> float | None:
    """The tightest restrictor in a line that ends or begins at the tower."""
    ends = (f"{tower_id}.in", f"{tower_id}.out")
    found = [
        line.restrictor.flow_m3s
        for line in basis.profile.lines.values()
        if line.restrictor is not None and (line.from_ in ends or line.to in ends)
    ]
    return min(found, default=None)
