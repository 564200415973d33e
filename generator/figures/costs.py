"""Energy of a batch, what a batch and its fuel take, and what they cost where the profile states prices."""

from __future__ import annotations

from generator.chemistry import cost
from generator.figures.basis import Basis, Inputs
from generator.figures.heating import comes_cold
from generator.figures.record import Figure
from generator.profile.prices import Prices

#: Duties that heat, by the role of their vessel: time to get there, time held, temperature held.
DUTIES = (
    ("dry", "heating_time_dry", "drying_time"),
    ("react", "heating_time_preheat", None),
    ("react", "heating_time_react", "reaction_time"),
    ("react", "heating_time_second", "reaction_time"),
    ("strip", "heating_time_strip", "sweep_time"),
    ("wash", "heating_time_fuel", "fuel_drying_time"),
)
NAMES = {"heating_time_preheat": "E_preheat", "heating_time_second": "E_second"}


def add(basis: Basis) -> None:
    """Energy and materials always, money only with prices."""
    materials = _materials(basis, _energy(basis))
    if basis.profile.prices is not None:
        _money(basis, basis.profile.prices, materials)


def _energy(basis: Basis) -> Figure:
    """Heaters at full power until warm, then what the vessel loses; pumps while they move or circulate."""
    book = basis.book
    inputs: Inputs = {}
    heated = 0.0
    for role, warming, holding in DUTIES:
        tank, held = basis.plant.with_role(role), book.get(holding or "")
        second = warming == "heating_time_second"
        if tank is None or not tank.vessel.heaters or (second and basis.recipe.stages == 1):
            continue
        if warming == "heating_time_preheat" and not comes_cold(basis):
            continue
        time, power = book.get(f"{tank.id}.{warming}"), book[f"{tank.id}.element_power"]
        loss = book.get(f"{tank.id}.heat_loss")
        energy = power.value * time.value if time is not None else 0.0
        energy += loss.value * held.value if loss is not None and held is not None else 0.0
        heated += energy
        inputs[NAMES.get(warming, f"E_{role}")] = (energy, "energy")
    pumped = _pumped_j(basis)
    inputs["E_pumps"] = (pumped, "energy")
    return book.add("energy_batch", heated + pumped, "energy", inputs)


def _pumped_j(basis: Basis) -> float:
    """Power of the circulating pump over drying, injection and reaction, J; transfers are minutes."""
    pump = basis.profile.pumps.get(basis.react_pump or "")
    if pump is None or pump.power_w is None:
        return 0.0
    kinds = ["drying_time", *(["injection_time", "reaction_time"] * basis.recipe.stages)]
    known = [basis.book.get(kind) for kind in kinds]
    return float(pump.power_w) * sum(figure.value for figure in known if figure is not None)


def _materials(basis: Basis, energy: Figure) -> cost.Materials:
    book = basis.book
    recovered, methanol = book.get("recovered_methanol"), book["methanol_volume"]
    back = min(recovered.value, methanol.value) if recovered is not None else 0.0
    fuel = book["fuel_least"]
    materials = cost.Materials(
        book["oil_volume"].value,
        methanol.value,
        back,
        book["catalyst_usual"].value,
        energy.value,
        fuel.value,
    )
    each = cost.materials_per_fuel(materials)
    bought: Inputs = {"V_M": methanol, "V_F": fuel}
    if recovered is not None:
        bought["V_R"] = recovered
    book.add("oil_per_fuel", each.oil_m3_m3, "fraction", {"V_oil": book["oil_volume"], "V_F": fuel})
    book.add("methanol_per_fuel", each.methanol_bought_m3_m3, "fraction", bought)
    flake: Inputs = {"m_c": book["catalyst_usual"], "V_F": fuel}
    book.add("catalyst_per_fuel", each.catalyst_kg_m3, "consumption", flake)
    book.add("energy_per_fuel", each.energy_j_m3, "energy_content", {"E": energy, "V_F": fuel})
    return materials


def _money(basis: Basis, prices: Prices, materials: cost.Materials) -> None:
    book = basis.book
    answer = cost.batch_cost(
        materials,
        cost.Prices(
            prices.oil_per_m3,
            prices.methanol_per_m3,
            prices.catalyst_per_kg,
            prices.electricity_per_j,
            prices.other_per_batch,
        ),
    )
    oil = book.add(
        "cost_oil",
        answer.oil_money,
        "money",
        {"V_oil": book["oil_volume"], "c_o": (prices.oil_per_m3, "volume_price")},
    )
    of_methanol: Inputs = {"V_M": book["methanol_volume"], "c_M": (prices.methanol_per_m3, "volume_price")}
    if "recovered_methanol" in book:
        of_methanol["V_R"] = book["recovered_methanol"]
    methanol = book.add("cost_methanol", answer.methanol_money, "money", of_methanol)
    of_flake: Inputs = {"m_c": book["catalyst_usual"], "c_c": (prices.catalyst_per_kg, "mass_price")}
    catalyst = book.add("cost_catalyst", answer.catalyst_money, "money", of_flake)
    of_energy: Inputs = {"E": book["energy_batch"], "c_E": (prices.electricity_per_j, "energy_price")}
    energy = book.add("cost_energy", answer.energy_money, "money", of_energy)
    other = book.add("cost_other", answer.other_money, "money")
    parts: Inputs = {"K_o": oil, "K_M": methanol, "K_c": catalyst, "K_E": energy, "K_x": other}
    whole = book.add("cost_batch", answer.batch_money, "money", parts)
    shared: Inputs = {"K": whole, "V_F": book["fuel_least"]}
    book.add("cost_per_fuel", answer.money_per_fuel_m3, "fuel_price", shared)
