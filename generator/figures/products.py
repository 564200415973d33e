"""What a batch turns into: glycerin, ester, soap, and the mass balance."""

from __future__ import annotations

from generator.chemistry import balance, density
from generator.figures.basis import Basis, Given, Inputs, clamped_c, gauge_m3
from generator.figures.record import Figure


def batch(basis: Basis, ffa: Figure, catalyst: Figure) -> balance.BatchBalance:
    """Mass balance at one of the two titrations."""
    charge = balance.Charge(
        oil_kg=basis.value("oil_mass"),
        ffa=ffa.value,
        water_fraction=basis.profile.feedstock.usual_water,
        methanol_kg=basis.value("methanol_mass"),
        catalyst=basis.recipe.catalyst.base,
        catalyst_kg=catalyst.value,
        purity_fraction=basis.recipe.catalyst.purity,
        oil_molar_mass_kg_kmol=basis.value("oil_molar_mass"),
    )
    return balance.batch_balance(
        charge, basis.given("conversion").value, basis.given("methanol_share_in_ester").value
    )


def usual(basis: Basis) -> balance.BatchBalance:
    """Mass balance at the usual titration."""
    return batch(basis, basis.book["ffa_usual"], basis.book["catalyst_usual"])


def add(basis: Basis) -> None:
    """All products at the usual titration; glycerin and soap at the highest as well."""
    _glycerin(basis)
    _balance(basis)
    _ester(basis)


def _charge_inputs(basis: Basis, name: str) -> Inputs:
    book = basis.book
    return {
        "m_oil": book["oil_mass"],
        "m_M": book["methanol_mass"],
        "m_c": book[f"catalyst_{name}"],
        "FFA": book[f"ffa_{name}"],
        "w": (basis.profile.feedstock.usual_water, "mass_fraction"),
        "X": basis.given("conversion"),
        "f": basis.given("methanol_share_in_ester"),
    }


def _glycerin(basis: Basis) -> None:
    book, step = basis.book, gauge_m3(basis.plant.with_role("glycerin"))
    for name in ("usual", "highest"):
        answer = batch(basis, book[f"ffa_{name}"], book[f"catalyst_{name}"])
        inputs = _charge_inputs(basis, name)
        book.add(f"glycerin_{name}", answer.glycerin_layer_m3, "volume", inputs, resolution=step)
    drained, oil = book["glycerin_usual"], book["oil_volume"]
    # Half of what is computed (common practice, no source): less than that has not settled yet.
    book.add("glycerin_least", 0.5 * drained.value, "volume", {"V_g": drained}, resolution=step)
    book.add("glycerin_share", drained.value / oil.value, "fraction", {"V_g": drained, "V_oil": oil})


def _balance(basis: Basis) -> None:
    book, answer = basis.book, usual(basis)
    reaction = _charge_inputs(basis, "usual")
    charge = {symbol: reaction[symbol] for symbol in ("m_oil", "m_M", "m_c")}
    acid = {symbol: reaction[symbol] for symbol in ("m_oil", "FFA")}
    split = {symbol: reaction[symbol] for symbol in ("m_oil", "m_M", "FFA", "w", "X", "f")}
    made = {symbol: reaction[symbol] for symbol in ("m_oil", "FFA", "w", "X")}
    pure: Inputs = {"p": (basis.recipe.catalyst.purity, "mass_fraction")}
    base = {symbol: reaction[symbol] for symbol in ("m_oil", "FFA", "m_c")} | pure
    book.add("balance_in", answer.charged_kg, "balance_mass", charge)
    out = [
        book.add("balance_fame", answer.ester_kg, "balance_mass", made),
        book.add("balance_glycerol", answer.glycerol_kg, "balance_mass", made),
        book.add("balance_oil_left", answer.unreacted_oil_kg, "balance_mass", made),
        book.add("soap_lowest", answer.soap_least_kg, "balance_mass", acid),
        book.add("balance_base_left", answer.free_base_kg, "balance_mass", base),
        book.add("balance_water", answer.water_kg, "balance_mass", base | {"w": reaction["w"]}),
        book.add("balance_methanol_ester", answer.methanol_in_ester_kg, "balance_mass", split),
        book.add("balance_methanol_glycerin", answer.methanol_in_glycerin_kg, "balance_mass", split),
    ]
    symbols = ("m_F", "m_G", "m_O", "m_S", "m_B", "m_W", "m_ME", "m_MG")
    book.add("balance_out", answer.products_kg, "balance_mass", dict(zip(symbols, out, strict=True)))
    book.add("balance_methanol_used", answer.methanol_used_kg, "balance_mass", made)
    worst = batch(basis, book["ffa_highest"], book["catalyst_highest"])
    most = _charge_inputs(basis, "highest")
    book.add("soap_highest", worst.soap_most_kg, "mass", {s: most[s] for s in ("m_oil", "FFA", "m_c")} | pure)


def _ester(basis: Basis) -> None:
    """The ester layer as it leaves the settling tank, its methanol, and the fuel it makes at 15 °C."""
    book, answer = basis.book, usual(basis)
    layer: Given = (answer.ester_layer_kg, "mass")
    methanol = book["balance_methanol_ester"]
    book.add(
        "ester_methanol",
        answer.methanol_fraction_of_ester_layer,
        "mass_fraction",
        {"m_ME": methanol, "m_L": layer},
    )
    set_point = book["reaction_set_point"]
    rho_15, at = density.ESTER_DENSITY_15_KG_M3, clamped_c(set_point.value, 15.0, 65.0)
    rho, rho_m = density.ester_density_kg_m3(at, rho_15), density.methanol_density_kg_m3(at)
    clean_kg = answer.ester_layer_kg - methanol.value
    shared = {"m_L": layer, "m_ME": methanol}
    book.add(
        "ester_volume",
        clean_kg / rho + methanol.value / rho_m,
        "volume",
        shared | {"ρ_E": (rho, "density"), "ρ_M": (rho_m, "density"), "T_r": set_point},
    )
    book.add(
        "fuel_volume",
        clean_kg / rho_15,
        "volume",
        shared | {"ρ_15": (rho_15, "density")},
        resolution=gauge_m3(basis.plant.with_role("fuel")),
    )


def fuel_kg(basis: Basis) -> float:
    """Ester layer of the usual batch without its methanol, kg."""
    answer = usual(basis)
    return answer.ester_layer_kg - answer.methanol_in_ester_kg
