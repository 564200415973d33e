"""Methanol and methoxide: how much, how many moles, how warm it gets while the catalyst dissolves."""

from __future__ import annotations

from generator.chemistry import density, dose, headspace, methoxide
from generator.chemistry.species import METHANOL_KG_KMOL
from generator.figures import stages
from generator.figures.basis import Basis, Given, Inputs, clamped_c, gauge_m3, plain
from generator.figures.recipe import oil_density_kg_m3
from generator.figures.record import Figure


def add(basis: Basis) -> None:
    """Methanol by volume, by moles and by mass; the methoxide it makes."""
    _methanol(basis)
    stages.add_doses(basis)
    _methoxide(basis)


def _methanol(basis: Basis) -> None:
    given, book, oil = basis.recipe.methanol, basis.book, basis.book["oil_volume"]
    rho_oil, rho = oil_density_kg_m3(basis), density.methanol_density_kg_m3(given.measured_at_c)
    oil_molar_mass = book["oil_molar_mass"]
    made_from: Inputs = {
        "ρ_oil": (rho_oil, "density"),
        "ρ_M": (rho, "density"),
        "M_oil": oil_molar_mass,
        "M_M": (METHANOL_KG_KMOL, "ratio"),
    }
    if given.molar_ratio is None:
        fraction = given.percent or 0.0
        share = book.add("methanol_share", fraction, "fraction", {"x": (fraction, "fraction")})
        ratio = dose.methanol_molar_ratio(fraction, rho_oil, rho, oil_molar_mass.value)
        book.add("methanol_ratio", ratio, "molar_ratio", {"x": share, **made_from})
    else:
        ratio = given.molar_ratio
        stated = book.add("methanol_ratio", ratio, "molar_ratio", {"r": (ratio, "molar_ratio")})
        fraction = dose.methanol_volume_fraction(ratio, rho_oil, rho, oil_molar_mass.value)
        share = book.add("methanol_share", fraction, "fraction", {"r": stated, **made_from})
    volume = book.add(
        "methanol_volume",
        fraction * oil.value,
        "volume",
        {"x": share, "V_oil": oil},
        resolution=gauge_m3(basis.plant.with_role("methoxide")),
    )
    at = (given.measured_at_c, "temperature")
    book.add("methanol_mass", volume.value * rho, "mass", {"V_M": volume, "T_M": at})


def _methoxide(basis: Basis) -> None:
    """Room it takes and heat it makes, both at the highest titration: the worst charge."""
    book = basis.book
    methanol, most = book["can_methanol_mass"], book["can_catalyst_highest"]
    measured_c = basis.recipe.methanol.measured_at_c
    book.add(
        "methoxide_volume",
        headspace.methoxide_volume_m3(methanol.value, most.value, measured_c),
        "volume",
        {"V_M": book["can_methanol"], "m_c": most, "ρ_c": (headspace.SOLID_BASE_KG_M3, "density")},
        resolution=gauge_m3(basis.plant.with_role("methoxide")),
    )
    ambient = clamped_c(basis.site.ambient.usual_c, 0.0, 40.0)
    rise = add_rise(basis, most, methanol).value
    # The smallest dose: a tenth of it is no more than a tenth of any other.
    least = book["can_catalyst_least"]
    share, most_c = basis.given("portion_share"), basis.given("dissolving_most")
    portions = methoxide.portions(least.value, rise, ambient, share.value, most_c.value)
    made_from: Inputs = {"s": share, "m_c": least}
    book.add("methoxide_portion", portions.each_kg, "weighed_mass", made_from)


def add_rise(basis: Basis, flake: Figure, methanol: Given, dose: str | None = None) -> Figure:
    """How far a dose's flake warms its methanol (a mass, kg) if all of it goes in at once."""
    catalyst, methanol_kg = basis.recipe.catalyst, plain(methanol)
    ambient = clamped_c(basis.site.ambient.usual_c, 0.0, 40.0)
    heat = methoxide.solution_heat_j_kg(catalyst.base, catalyst.purity) * flake.value
    return basis.book.add(
        "methoxide_rise",
        methoxide.dissolving_rise_k(catalyst.base, catalyst.purity, flake.value, methanol_kg, ambient),
        "temperature_difference",
        {"m_c": flake, "Q": (heat, "energy"), "m_M": methanol, "T_a": (ambient, "temperature")},
        subject=dose,
    )
