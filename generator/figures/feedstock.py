"""What the oil is: density, molar mass, the way it goes, and what drying it takes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry import density, drying, outcome, route, species, washing
from generator.figures.basis import Basis, Inputs
from generator.figures.record import Figure, FigureBook
from generator.profile.model import Profile

#: Keys of ``own_values`` that are limits of the route, by the threshold's name.
LIMIT_KEYS = ("ffa_single", "ffa_direct_base", "ffa_base", "water_dry")


def oil_density_15(basis: Basis) -> Figure:
    """Density of the oil at 15 °C: the plant's own, else from its analyses, else the customary one."""
    told = basis.profile.feedstock.analyses
    known = told.saponification_value is not None and told.iodine_value is not None
    if basis.profile.own_values.oil_density_15 is not None or not known:
        return basis.given("oil_density_15")
    saponification, iodine = told.saponification_value or 0.0, told.iodine_value or 0.0
    value = density.oil_density_15_from_analyses_kg_m3(saponification, iodine)
    inputs: Inputs = {"SV": (saponification, "ratio"), "IV": (iodine, "ratio")}
    return basis.book.add("oil_density_15", value, "density", inputs)


def add_molar_mass(basis: Basis) -> None:
    """Molar mass of the oil: from its fatty acids, else from its saponification value, else customary."""
    told = basis.profile.feedstock.analyses
    inputs: Inputs = {}
    value = species.UNKNOWN_OIL_KG_KMOL
    if told.fatty_acids is not None:
        acid = species.fatty_acid_molar_mass_kg_kmol(told.fatty_acids.shares)
        value, inputs = species.triglyceride_molar_mass_kg_kmol(acid), {"M_FA": (acid, "molar_mass")}
    elif told.saponification_value is not None:
        given = told.acid_value
        acid_value = basis.book["acid_value_usual"] if given is None else (given, "ratio")
        number = given if given is not None else basis.value("acid_value_usual")
        value = species.oil_molar_mass_from_analyses_kg_kmol(told.saponification_value, number)
        inputs = {"SV": (told.saponification_value, "ratio"), "AV": acid_value}
    basis.book.add("oil_molar_mass", value, "molar_mass", inputs)


#: A best case is printed no finer than this, s.
STEP_S: Final = 300.0


def add(basis: Basis) -> None:
    """The limits of the route as figures, and the water that drying takes out."""
    for key in LIMIT_KEYS:
        basis.given(key)
    _drying(basis)


def _drying(basis: Basis) -> None:
    book, tank, feed = basis.book, basis.plant.with_role("dry"), basis.profile.feedstock
    stated = "usual_water" in feed.model_fields_set
    water = book.add("usual_water", feed.usual_water, "mass_fraction", own=stated)
    if tank is None:
        return
    mass = book.add(
        "oil_water",
        washing.water_to_remove_kg(basis.value("oil_mass"), water.value, 0.0),
        "mass",
        {"w": water, "m_oil": book["oil_mass"]},
    )
    harm = outcome.water_harm(mass.value, basis.recipe.catalyst.base)
    book.add("water_soap", harm.soap_kg, "mass", {"m_w": mass})
    book.add("water_base", harm.base_pure_kg, "weighed_mass", {"m_w": mass})
    set_point, ambient_c = book["drying_set_point"], basis.site.ambient.lowest_c
    if not tank.vessel.heaters or set_point.value < ambient_c or mass.value == 0.0:
        return
    power = book[f"{tank.id}.element_power"]
    answer = drying.drying_time(mass.value, power.value, basis.loss_w_k(tank), ambient_c, set_point.value)
    latent = book.add("drying_energy", answer.latent_j, "energy", {"m_w": mass, "T_dry": set_point})
    if isinstance(answer, drying.Drying):
        made_from: Inputs = {"E": latent, "P": power, "T_dry": set_point, "T_a": (ambient_c, "temperature")}
        lost = basis.loss_inputs(tank)
        book.add("drying_least", answer.time_s, "time", made_from | lost, resolution=STEP_S)


@dataclass(frozen=True)
class OilRoute:
    """The way oil of one titration goes; ``name`` is usual or highest."""

    name: str
    ffa: Figure
    choice: route.RouteChoice


def routes(profile: Profile, book: FigureBook) -> list[OilRoute]:
    """The way the usual oil goes, and that of the highest titration."""
    limits = route.RouteLimits(
        ffa_single=book["ffa_single"].value,
        ffa_direct_base=book["ffa_direct_base"].value,
        ffa_base=book["ffa_base"].value,
        water_dry=book["water_dry"].value,
    )
    step = profile.recipe.acid_step is not None
    water = profile.feedstock.usual_water
    return [
        OilRoute(name, ffa, route.route_choice(ffa.value, water, step, limits))
        for name in ("usual", "highest")
        for ffa in (book[f"ffa_{name}"],)
    ]
