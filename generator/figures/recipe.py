"""Oil and catalyst: from the titration to free acid and to the flake that is weighed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from generator.chemistry import density, dose, titration
from generator.chemistry.species import BASE_KG_KMOL, OLEIC_ACID_KG_KMOL
from generator.figures import feedstock
from generator.figures.basis import Basis, Inputs
from generator.figures.record import Figure, FigureBook

#: The usual titrant: a gram of base in a litre of water, drunk by a millilitre of oil.
TITRANT_G_L: Final = 1.0
SAMPLE_ML: Final = 1.0
#: Half a millilitre from row to row of the dose table, written in tenths.
ROW_TENTHS: Final = 5


@dataclass(frozen=True)
class DoseRow:
    """One row of the dose table: titration in mL, flake per litre of oil, flake for the batch."""

    titration_ml: float
    dose: Figure
    mass: Figure


def dose_rows(book: FigureBook) -> list[DoseRow]:
    """The dose table: 0.0, 0.5, 1.0 … mL up to the highest titration, and the usual one."""
    rows = []
    for figure in book:
        if figure.kind == "catalyst_dose" and figure.subject:
            millilitres = next(i.value for i in figure.inputs if i.symbol == "V_t")
            rows.append(DoseRow(millilitres, figure, book[f"{figure.subject}.catalyst_mass"]))
    return rows


def add(basis: Basis) -> None:
    """Oil, free acid and catalyst of a batch, and the dose table."""
    _oil(basis)
    _acid(basis)
    feedstock.add_molar_mass(basis)
    _catalyst(basis)


def _oil(basis: Basis) -> None:
    batch, rho_15 = basis.recipe.batch, feedstock.oil_density_15(basis)
    volume = basis.book.add("oil_volume", batch.oil_m3, "volume")
    rho = density.oil_density_kg_m3(batch.measured_at_c, rho_15.value)
    basis.book.add(
        "oil_mass",
        batch.oil_m3 * rho,
        "mass",
        {"V_oil": volume, "ρ_15": rho_15, "T_oil": (batch.measured_at_c, "temperature")},
    )


def titrant(basis: Basis) -> titration.Titrant:
    """What the burette holds; purity 1 where it was checked against a standard, else the flake's own."""
    catalyst = basis.recipe.catalyst
    pure = catalyst.purity if catalyst.titrant.made_from == "same_flake" else 1.0
    return titration.Titrant(catalyst.titrant.base, pure, TITRANT_G_L)


def oil_density_kg_m3(basis: Basis) -> float:
    """Density of the oil at the temperature its volume is measured, kg/m3."""
    return density.oil_density_kg_m3(basis.recipe.batch.measured_at_c, basis.value("oil_density_15"))


def _acid(basis: Basis) -> None:
    """Titrant's strength, then acid value and free fatty acid at both titrations."""
    solution = titrant(basis)
    strength = basis.book.add(
        "titrant_normality",
        titration.titrant_normality_mol_per_l(solution),
        "normality",
        {
            "g": (solution.strength_g_per_l, "dose"),
            "p_t": (solution.purity_fraction, "mass_fraction"),
            "M_t": (BASE_KG_KMOL[solution.base], "ratio"),
        },
    )
    sample_g = SAMPLE_ML * oil_density_kg_m3(basis) / 1000.0
    for name, millilitres in _titrations(basis):
        inputs: Inputs = {
            "V_t": (millilitres, "titration_volume"),
            "N": strength,
            "m_s": (sample_g / 1000.0, "mass"),
        }
        ffa = titration.ffa_fraction(millilitres, strength.value, sample_g)
        basis.book.add(
            f"ffa_{name}", ffa, "mass_fraction", inputs | {"M_oleic": (OLEIC_ACID_KG_KMOL, "ratio")}
        )
        acid = titration.acid_value_mg_g(millilitres, strength.value, sample_g)
        basis.book.add(
            f"acid_value_{name}", acid, "ratio", inputs | {"M_KOH": (BASE_KG_KMOL["KOH"], "ratio")}
        )


def _titrations(basis: Basis) -> Iterator[tuple[str, float]]:
    yield "usual", basis.profile.feedstock.usual_titration_ml
    yield "highest", basis.profile.feedstock.highest_titration_ml


def catalyst_dose_kg_m3(basis: Basis, titration_ml: float) -> float:
    """Flake per volume of oil at a titration, kg/m3 (the same number in g/L)."""
    catalyst = basis.recipe.catalyst
    return dose.catalyst_dose_from_titration_kg_per_m3(
        catalyst.base,
        catalyst.pure_rate,
        oil_density_kg_m3(basis),
        catalyst.purity,
        titration_ml,
        SAMPLE_ML,
        titrant(basis),
    )


def _catalyst(basis: Basis) -> None:
    catalyst, book, oil = basis.recipe.catalyst, basis.book, basis.book["oil_volume"]
    at_zero = dose.catalyst_dose_kg_per_m3(
        catalyst.base, catalyst.pure_rate, oil_density_kg_m3(basis), 0.0, catalyst.purity
    )
    base = book.add(
        "base_dose",
        at_zero,
        "dose",
        {
            "b": basis.base_rate(),
            "ρ_oil": (oil_density_kg_m3(basis), "density"),
            "p": (catalyst.purity, "mass_fraction"),
        },
    )
    molar = BASE_KG_KMOL[catalyst.base] / BASE_KG_KMOL[catalyst.titrant.base]
    each = book.add(
        "dose_per_ml",
        catalyst_dose_kg_m3(basis, 1.0) - at_zero,
        "dose",
        {
            "g": (TITRANT_G_L, "dose"),
            "v_s": (SAMPLE_ML, "titration_volume"),
            "p_t": (titrant(basis).purity_fraction, "mass_fraction"),
            "p": (catalyst.purity, "mass_fraction"),
            "k": (molar, "ratio"),
        },
    )
    for millilitres, subject in _rows(*(millilitres for _, millilitres in _titrations(basis))):
        per_volume = catalyst_dose_kg_m3(basis, millilitres)
        made_from: Inputs = {"c_0": base, "e": each, "V_t": (millilitres, "titration_volume")}
        row = book.add("catalyst_dose", per_volume, "dose", made_from, subject=subject)
        mass = per_volume * oil.value
        book.add("catalyst_mass", mass, "weighed_mass", {"c": row, "V_oil": oil}, subject=subject)
    for name, millilitres in _titrations(basis):
        mass = catalyst_dose_kg_m3(basis, millilitres) * oil.value
        made_from = {"c_0": base, "e": each, "V_t": (millilitres, "titration_volume"), "V_oil": oil}
        book.add(f"catalyst_{name}", mass, "weighed_mass", made_from)


def _rows(*own_ml: float) -> list[tuple[float, str]]:
    """Titration and subject of each row, the plant's own among them, up to the highest.

    A burette is read to a tenth of a millilitre.
    """
    own = [round(millilitres * 10.0) for millilitres in own_ml]
    tenths = sorted({*range(0, max(own) + 1, ROW_TENTHS), *own})
    return [(tenth / 10.0, f"titration_{tenth:02d}") for tenth in tenths]
