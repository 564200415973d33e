"""Reactions in more than one stage: the dose in two parts, and acid before the base."""

from __future__ import annotations

from generator.chemistry import density, dose, stages
from generator.figures.basis import Basis, Given, Inputs, gauge_m3
from generator.figures.recipe import dose_rows
from generator.profile.recipe import AcidStep


def add(basis: Basis) -> None:
    """The figures of what this recipe has."""
    if basis.recipe.stages == 2:
        _two(basis)
    if basis.recipe.acid_step is not None:
        _acid(basis, basis.recipe.acid_step)


def _two(basis: Basis) -> None:
    """Methanol in two parts, flake in two for every row of the dose table; both add up to the whole."""
    book, share = basis.book, basis.recipe.first_share
    step = gauge_m3(basis.plant.with_role("methoxide"))
    methanol = book["methanol_volume"]
    own = "first_share" in basis.recipe.model_fields_set
    part = book.add("first_share", share, "fraction", own=own)
    first, second = stages.two_stage_split(methanol.value, book["catalyst_usual"].value, share)
    inputs: Inputs = {"s": part, "V_M": methanol}
    done = book.add("first_methanol", first.methanol_m3, "volume", inputs, resolution=step)
    book.add(
        "second_methanol", second.methanol_m3, "volume", {"V_M": methanol, "V_M1": done}, resolution=step
    )
    for row in dose_rows(book):
        one, other = stages.two_stage_split(methanol.value, row.mass.value, share)
        of_row: Inputs = {"s": part, "m_c": row.mass}
        put = book.add("first_catalyst", one.catalyst_kg, "weighed_mass", of_row, subject=row.mass.subject)
        book.add(
            "second_catalyst",
            other.catalyst_kg,
            "weighed_mass",
            {"m_c": row.mass, "m_c1": put},
            subject=row.mass.subject,
        )


def _acid(basis: Basis, step: AcidStep) -> None:
    """Methanol, acid, water and extra base for the highest free fatty acid that the step is made for."""
    book, catalyst = basis.book, basis.recipe.catalyst
    ffa = book.add("acid_highest_ffa", step.highest_ffa, "mass_fraction")
    oil: Inputs = {"m_oil": book["oil_mass"], "FFA": ffa}
    answer = dose.acid_pretreatment(book["oil_mass"].value * ffa.value, catalyst.base)
    rho = density.methanol_density_kg_m3(basis.recipe.methanol.measured_at_c)
    book.add("acid_methanol", answer.methanol_kg / rho, "volume", oil | {"ρ_M": (rho, "density")})
    strength: Given = (step.acid_strength, "mass_fraction")
    acid_kg = answer.acid_pure_kg / step.acid_strength
    acid = book.add("acid_mass", acid_kg, "weighed_mass", oil | {"p_a": strength})
    book.add("acid_water", answer.water_formed_kg, "mass", oil)
    left = basis.given("acid_left_in_oil")
    extra = stages.base_for_acid_left_kg(answer.acid_pure_kg, left.value, catalyst.base, catalyst.purity)
    purity: Given = (catalyst.purity, "mass_fraction")
    made_from: Inputs = {"m_a": acid, "p_a": strength, "s": left, "p": purity}
    book.add("acid_extra_base", extra, "weighed_mass", made_from)
    rounds = stages.acid_rounds(ffa.value, step.left_share, stages.PRETREATED_FFA)
    share: Given = (step.left_share, "fraction")
    book.add("acid_rounds", float(rounds), "count", {"FFA": ffa, "s": share})
    book.add("acid_set_point", min(step.set_point_c, basis.value("ceiling")), "temperature")
    book.add("acid_time", step.time_s, "time")
    book.add("acid_settling", step.settling_s, "time")
