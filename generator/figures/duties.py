"""Figures that only the procedures need: limits of each duty, the second dose, what tests are held to."""

from __future__ import annotations

from generator.chemistry import dose, fuel_tests, titration, verdicts
from generator.figures import pass_limits
from generator.figures.basis import Basis, Inputs, clamped_c, oil_m3_at
from generator.figures.laboratory import SAMPLE_G
from generator.figures.recipe import oil_density_kg_m3, titrant
from generator.figures.record import Figure
from generator.figures.tanks import add_mark

#: Acid of the soap titration and its sample, which makes the least limit readable (common practice).
SOAP_ACID_MOL_PER_L, SOAP_SAMPLE_G = 0.01, 20.0


def add(basis: Basis) -> None:
    """All of them, where the plant has what they are about."""
    _purity(basis)
    _limit(basis, "dry", "drying_set_point", "drying_high_limit")
    if basis.recipe.stripping is not None:
        _limit(basis, "strip", "strip_set_point", "strip_high_limit")
        _sweep_flow(basis)
    _second_dose(basis)
    _tower(basis)
    _marks(basis)
    _test_limits(basis)


def _purity(basis: Basis) -> None:
    basis.book.add("catalyst_purity", basis.recipe.catalyst.purity, "mass_fraction")


def _limit(basis: Basis, role: str, set_point: str, kind: str) -> None:
    """Set point and margin, never above what the vessel stands."""
    tank, target = basis.plant.with_role(role), basis.book[set_point]
    if tank is None:
        return
    inputs: dict[str, Figure | tuple[float, str]] = {
        "T_s": target,
        "ΔT": basis.given("dry_limit_rise"),
    }
    value = target.value + basis.given("dry_limit_rise").value
    if tank.vessel.max_temperature_c is not None:
        inputs["T_max"] = (tank.vessel.max_temperature_c, "temperature")
        value = min(value, tank.vessel.max_temperature_c)
    basis.book.add(kind, value, "temperature", inputs)


def _sweep_flow(basis: Basis) -> None:
    stripping = basis.recipe.stripping
    if stripping is not None and stripping.sweep is not None:
        basis.book.add("sweep_flow", stripping.sweep.flow_m3s, "flow")


def _second_dose(basis: Basis) -> None:
    catalyst, oil = basis.recipe.catalyst, basis.book["oil_volume"]
    of_oil, of_base = basis.given("again_methanol_share"), basis.given("again_base_share")
    second = dose.second_dose(
        oil.value,
        oil_density_kg_m3(basis),
        catalyst.pure_rate,
        catalyst.purity,
        of_oil.value,
        of_base.value,
    )
    basis.book.add("again_methanol", second.methanol_m3, "volume", {"V_oil": oil, "x": of_oil})
    again = basis.book.add(
        "again_catalyst",
        second.catalyst_kg,
        "weighed_mass",
        {
            "m_oil": basis.book["oil_mass"],
            "b": basis.base_rate(),
            "s": of_base,
            "p": (catalyst.purity, "mass_fraction"),
        },
    )
    share = basis.given("portion_share")
    made_from: Inputs = {"m_c2": again, "s": share}
    basis.book.add("again_portion", share.value * again.value, "weighed_mass", made_from)


def _marks(basis: Basis) -> None:
    """Levels at which receivers hold what they are to get, and the highest oil that leaves room."""
    book = basis.book
    wanted = (
        ("methoxide", "methanol_mark_level", "can_methanol"),
        ("glycerin", "glycerin_mark_level", "glycerin_highest"),
        ("fuel", "fuel_mark_level", "fuel_volume"),
    )
    for role, kind, volume in wanted:
        tank = basis.plant.with_role(role)
        if tank is not None and volume in book and book[volume].value <= tank.capacity_m3:
            add_mark(basis, tank, kind, book[volume].value, book[volume])
    react = basis.plant.with_role("react")
    if react is None:
        return
    # What the methoxide adds, warm: the charge less the warm oil that the oil mark stands for.
    oil_m3 = oil_m3_at(basis, clamped_c(book["preheat"].value, 15.0, 110.0))
    left_m3 = react.limit_m3 - (book["charge_volume"].value - oil_m3)
    if 0.0 < left_m3 <= react.capacity_m3:
        add_mark(basis, react, "before_methoxide_level", left_m3, (left_m3, "volume"))


def _tower(basis: Basis) -> None:
    for part in basis.profile.inline.values():
        if part.kind.endswith("_tower") and part.max_temperature_c is not None:
            basis.book.add("tower_temperature", part.max_temperature_c, "temperature")
            return


def _test_limits(basis: Basis) -> None:
    """What the operator's own tests are held against."""
    feed, book = basis.profile.feedstock, basis.book
    book.add("titration_usual", feed.usual_titration_ml, "titration_volume")
    book.add("titration_highest", feed.highest_titration_ml, "titration_volume")
    pass_limits.add(basis)
    strength = titration.titrant_normality_mol_per_l(titrant(basis))
    per_ml = titration.acid_value_mg_g(1.0, strength, SAMPLE_G)
    book.add(
        "acid_test_reading",
        verdicts.ACID_VALUE_LIMIT_MG_G / per_ml,
        "titration_volume",
        {
            "AV": book["acid_in_fuel"],
            "N": (strength, "normality"),
            "m_s": (SAMPLE_G / 1000, "mass"),
        },
    )
    weighed: Inputs = {"N": (strength, "normality"), "m_s": (SAMPLE_G / 1000, "mass")}
    book.add("acid_per_ml", per_ml, "ratio", weighed)
    if (before := book.get("fuel_acid_value")) is not None:
        made_from: Inputs = {"AV_0": before, **weighed}
        book.add("acid_reading_tower", before.value / per_ml, "titration_volume", made_from)
    _soap_test(basis)


def _soap_test(basis: Basis) -> None:
    """What a millilitre of acid stands for in a gram of fuel, and the readings that the limits amount to."""
    base, book = basis.recipe.catalyst.base, basis.book
    acid: Inputs = {"N": (SOAP_ACID_MOL_PER_L, "normality")}
    soap = fuel_tests.soap_fraction(base, 1.0, SOAP_ACID_MOL_PER_L, 1.0)
    free = fuel_tests.free_base_fraction(base, 1.0, SOAP_ACID_MOL_PER_L, 1.0)
    book.add("soap_factor", 1e6 * soap, "ratio", acid)
    book.add("free_base_factor", 1e6 * free, "ratio", acid)
    for kind, limit in (("soap_reading_fuel", "soap_in_fuel"), ("soap_reading_tower", "soap_to_tower")):
        if (most := book.get(limit)) is not None:
            made_from: Inputs = {"S": most, "m_s": (SOAP_SAMPLE_G / 1000, "mass"), **acid}
            reading_ml = most.value * 1e-6 * SOAP_SAMPLE_G / soap
            book.add(kind, reading_ml, "titration_volume", made_from)
