"""Reactions in more than one stage: the dose in two parts, and acid before the base."""

from __future__ import annotations

from generator.chemistry import density, dose, heat, stages, titration
from generator.chemistry.heating import Stream, heat_capacity_j_k
from generator.figures.basis import Basis, Given, Inputs, clamped_c, gauge_m3, oil_m3_at
from generator.figures.heating import Duty, add_duty
from generator.figures.recipe import SAMPLE_ML, dose_rows, oil_density_kg_m3
from generator.figures.record import Figure
from generator.figures.temperatures import oil_stream
from generator.profile.recipe import AcidStep

#: Acid as strong as that whose density is known, within half a per cent.
ALIKE_FRACTION = 0.005
#: Water and acid in the acid layer, both counted as water: more room than they take, kg/m3 (derived).
WATER_KG_M3 = 998.2
#: Methanol that rinses the can after the acid (common practice, no source).
ACID_RINSE_M3 = 1e-3


def add_doses(basis: Basis) -> None:
    """What goes into the can at once: the first dose of two, with the second beside it, or all of it.

    It is asked for as ``can_methanol``, ``can_methanol_mass``, ``can_catalyst_usual`` and so on.
    """
    if basis.recipe.stages == 2:
        _methanol(basis)
        _flake(basis)
        pairs = ("methanol", "first_methanol"), ("methanol_mass", "first_methanol_mass")
        kinds = [*pairs, *((f"catalyst_{n}", f"first_catalyst_{n}") for n in ("usual", "highest", "least"))]
    else:
        kinds = [("methanol", "methanol_volume"), ("methanol_mass", "methanol_mass")]
        kinds += [(f"catalyst_{n}", f"catalyst_{n}") for n in ("usual", "highest")]
        kinds.append(("catalyst_least", "titration_00.catalyst_mass"))
    for name, figure_id in kinds:
        basis.book.also(f"can_{name}", basis.book[figure_id])


def _methanol(basis: Basis) -> None:
    book, share = basis.book, basis.recipe.first_share
    step = gauge_m3(basis.plant.with_role("methoxide"))
    whole, mass = book["methanol_volume"], book["methanol_mass"]
    own = "first_share" in basis.recipe.model_fields_set
    part = book.add("first_share", share, "fraction", own=own)
    first, second = stages.two_stage_split(whole.value, book["catalyst_usual"].value, share)
    put = book.add("first_methanol", first.methanol_m3, "volume", {"s": part, "V_M": whole}, resolution=step)
    rest: Inputs = {"V_M": whole, "V_M1": put}
    book.add("second_methanol", second.methanol_m3, "volume", rest, resolution=step)
    book.add("first_methanol_mass", share * mass.value, "mass", {"s": part, "m_M": mass})


def _flake(basis: Basis) -> None:
    """Both doses at every row of the dose table, and at the usual, the highest and the least titration."""
    book = basis.book
    for row in dose_rows(book):
        _split(basis, row.mass, "", row.mass.subject)
    for name, of in (
        ("usual", book["catalyst_usual"]),
        ("highest", book["catalyst_highest"]),
        ("least", book["titration_00.catalyst_mass"]),
    ):
        _split(basis, of, f"_{name}", None)


def _split(basis: Basis, whole: Figure, ending: str, subject: str | None) -> None:
    book, part = basis.book, basis.book["first_share"]
    first, second = stages.two_stage_split(basis.value("methanol_volume"), whole.value, part.value)
    made_from: Inputs = {"s": part, "m_c": whole}
    put = book.add(f"first_catalyst{ending}", first.catalyst_kg, "weighed_mass", made_from, subject=subject)
    rest: Inputs = {"m_c": whole, "m_c1": put}
    book.add(f"second_catalyst{ending}", second.catalyst_kg, "weighed_mass", rest, subject=subject)


def add(basis: Basis) -> None:
    """Largest addition of the second dose; the acid step's figures where the recipe has one."""
    if basis.recipe.stages == 2:
        share, least = basis.given("portion_share"), basis.book["second_catalyst_least"]
        made_from: Inputs = {"s": share, "m_c2": least}
        basis.book.add("second_portion", share.value * least.value, "weighed_mass", made_from)
    if basis.recipe.acid_step is not None:
        _acid(basis, basis.recipe.acid_step)


def _acid(basis: Basis, step: AcidStep) -> None:
    """Methanol, acid and water for the highest free fatty acid that the step is made for."""
    book = basis.book
    ffa = book.add("acid_highest_ffa", step.highest_ffa, "mass_fraction")
    oil: Inputs = {"m_oil": book["oil_mass"], "FFA": ffa}
    answer = dose.acid_pretreatment(book["oil_mass"].value * ffa.value, basis.recipe.catalyst.base)
    rho = density.methanol_density_kg_m3(basis.recipe.methanol.measured_at_c)
    book.add("acid_methanol", answer.methanol_kg / rho, "volume", oil | {"ρ_M": (rho, "density")})
    strength = book.add("acid_strength", step.acid_strength, "mass_fraction")
    acid_kg = answer.acid_pure_kg / step.acid_strength
    book.add("acid_mass", acid_kg, "weighed_mass", oil | {"p_a": strength})
    if abs(step.acid_strength - stages.ACID_STRENGTH_FRACTION) < ALIKE_FRACTION:
        poured = stages.sulfuric_acid_volume_m3(answer.acid_pure_kg)
        book.add("acid_volume", poured, "poured_volume", oil | {"p_a": strength})
    ratio = stages.methanol_to_acid_ratio(answer.methanol_kg, book["oil_mass"].value * ffa.value)
    book.add("acid_ratio", ratio, "molar_ratio", oil)
    book.add("acid_water", answer.water_formed_kg, "mass", oil)
    _acid_volumes(basis, rho)
    _acid_titrations(basis, ffa)
    goal = basis.given("ffa_single")
    rounds = stages.acid_rounds(ffa.value, step.left_share, goal.value)
    share: Given = (step.left_share, "fraction")
    book.add("acid_rounds", float(rounds), "count", {"FFA": ffa, "s": share, "F_1": goal})
    target = book.add("acid_set_point", min(step.set_point_c, basis.value("ceiling")), "temperature")
    _acid_heating(basis, target, answer.methanol_kg)
    book.add("acid_time", step.time_s, "time")
    book.add("acid_settling", step.settling_s, "time")


def _acid_heating(basis: Basis, target: Figure, methanol_kg: float) -> None:
    """Time to warm oil and the acid step's methanol from the coldest air."""
    lowest_c = basis.site.ambient.lowest_c
    specific = heat.methanol_specific_heat_j_kgk(clamped_c(target.value, 0.0, 65.0))
    parts = oil_stream(basis, target.value), Stream(methanol_kg, specific, lowest_c)
    duty = Duty("heating_time_acid", "react", heat_capacity_j_k(parts), (lowest_c, "temperature"), target)
    add_duty(basis, duty)


def _acid_volumes(basis: Basis, rho_kg_m3: float) -> None:
    """Room that the step takes: in the can, in the reactor as hot as it may get, and in the drum after it."""
    book = basis.book
    methanol, acid, water = book["acid_methanol"], book["acid_mass"], book["acid_water"]
    rinse = book.add("acid_rinse", ACID_RINSE_M3, "volume")
    can: Inputs = {"V_Ma": methanol, "m_a": acid}
    mixed = methanol.value + acid.value / WATER_KG_M3
    book.add("acid_mix_volume", mixed, "volume", can)
    book.add(
        "acid_waste_volume",
        mixed + rinse.value + water.value / WATER_KG_M3,
        "volume",
        can | {"V_r": rinse, "m_Wa": water},
    )
    hot_c = basis.value("ceiling")
    rho_oil = density.oil_density_kg_m3(clamped_c(hot_c, 15.0, 110.0), basis.value("oil_density_15"))
    rho_hot = density.methanol_density_kg_m3(clamped_c(hot_c, 0.0, 65.0))
    grown = density.volume_at_m3(methanol.value + rinse.value, rho_kg_m3, rho_hot)
    book.add(
        "acid_charge_volume",
        oil_m3_at(basis, clamped_c(hot_c, 15.0, 110.0)) + grown + acid.value / WATER_KG_M3,
        "volume",
        can
        | {
            "m_oil": book["oil_mass"],
            "ρ_oil": (rho_oil, "density"),
            "V_r": rinse,
            "ρ_M": (rho_kg_m3, "density"),
            "ρ_h": (rho_hot, "density"),
        },
    )


def _acid_titrations(basis: Basis, most: Figure) -> None:
    """Burette readings that the acid step has to reach, and that it is for at most."""
    book, strength = basis.book, basis.book["titrant_normality"]
    sample_g = SAMPLE_ML * oil_density_kg_m3(basis) / 1000.0
    weighed: Inputs = {"N": strength, "m_s": (sample_g / 1000.0, "mass")}
    limits = ("acid_goal", "F_1", basis.given("ffa_single")), ("acid_titration_most", "FFA", most)
    for kind, symbol, ffa in limits:
        reading = titration.titration_for_ffa_ml(ffa.value, strength.value, sample_g)
        book.add(kind, reading, "titration_volume", {symbol: ffa, **weighed})
