"""From a plant to its book of figures."""

from __future__ import annotations

from generator.chemistry.ranges import OutOfRange
from generator.figures import (
    costs,
    doses,
    duties,
    feedstock,
    finishing,
    heating,
    laboratory,
    methanol,
    outcome,
    products,
    pumps,
    recipe,
    schedule,
    settling,
    site_air,
    stages,
    storage,
    tanks,
    temperatures,
    vapour,
)
from generator.figures.basis import Basis
from generator.figures.record import FigureBook
from generator.plant.plant import Plant
from generator.problems import FillmarkError, Problem


def compute(plant: Plant, *, react_pump: str | None, finish_pump: str | None) -> FigureBook:
    """Every figure of record of a plant, in the order in which each needs the ones before.

    ``react_pump`` circulates the reactor and moves oil, ``finish_pump`` moves ester and fuel; None where
    there is no such pump, and then what hangs on its flow is left out. A figure of equipment the plant lacks
    is left out too. Raises FillmarkError where a value of the profile lies outside what a formula holds for.
    """
    basis = Basis(plant, FigureBook(plant.profile.units), react_pump, finish_pump)
    try:
        _fill(basis)
    except OutOfRange as error:
        facts = {
            "asked": error.value,
            "argument": error.argument.replace("_", " "),
            "value": f"{error.value:.4g}",
            "low": f"{error.lowest:.4g}",
            "high": f"{error.highest:.4g}",
        }
        raise FillmarkError([Problem("formula_out_of_range", facts=facts)]) from error
    return basis.book


def _fill(basis: Basis) -> None:
    tanks.add(basis)
    temperatures.add_limits(basis)
    recipe.add(basis)
    methanol.add(basis)
    temperatures.add_mixing(basis)
    temperatures.add_oil_marks(basis)
    temperatures.add_charge(basis)
    temperatures.add_injection(basis)
    heating.add_batch(basis)
    products.add(basis)
    heating.add_settled(basis)
    finishing.add(basis)
    heating.add_losses(basis)
    site_air.add(basis)
    schedule.add(basis)
    feedstock.add(basis)
    settling.add(basis)
    pumps.add(basis)
    stages.add(basis)
    outcome.add(basis)
    duties.add(basis)
    doses.add(basis)
    laboratory.add(basis)
    vapour.add(basis)
    storage.add(basis)
    costs.add(basis)
