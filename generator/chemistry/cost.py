"""What a batch and a litre of fuel cost, and what goes into them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from generator.chemistry.ranges import not_negative, positive, within


@dataclass(frozen=True)
class Materials:
    """What one batch takes and gives; ``energy_j`` is all electricity."""

    oil_m3: float
    methanol_m3: float
    methanol_recovered_m3: float
    catalyst_kg: float
    energy_j: float
    fuel_m3: float

    def __post_init__(self) -> None:
        positive(oil_m3=self.oil_m3, fuel_m3=self.fuel_m3)
        not_negative(methanol_m3=self.methanol_m3, catalyst_kg=self.catalyst_kg, energy_j=self.energy_j)
        within("methanol_recovered_m3", self.methanol_recovered_m3, 0.0, self.methanol_m3)


@dataclass(frozen=True)
class Prices:
    """The plant's prices in its own money, per m3, kg and joule; ``other_per_batch`` is all the rest."""

    oil_per_m3: float
    methanol_per_m3: float
    catalyst_per_kg: float
    energy_per_j: float
    other_per_batch: float

    def __post_init__(self) -> None:
        not_negative(**vars(self))


@dataclass(frozen=True)
class Cost:
    """Cost of one batch by what it was spent on, in the plant's money, and of a cubic metre of fuel."""

    oil_money: float
    methanol_money: float
    catalyst_money: float
    energy_money: float
    other_money: float
    money_per_fuel_m3: float

    @property
    def batch_money(self) -> float:
        """Cost of the whole batch [the plant's money]."""
        return math.fsum(
            (self.oil_money, self.methanol_money, self.catalyst_money, self.energy_money, self.other_money)
        )


def batch_cost(materials: Materials, prices: Prices) -> Cost:
    """Cost of a batch and of its fuel.

    Equation: [V_o c_o + (V_M - V_rec) c_M + m c_c + E c_E + other] / V_fuel.
    Args:
        materials: what the batch takes and gives [m3, kg and J, in the field names].
        prices: the plant's prices [money per m3, kg and J, in the field names].
    Returns: cost by kind, and per volume of fuel [money and money per m3].
    Source: derived; sum of amounts times prices. Labour and the plant itself are not in it unless in "other".
    """
    bought = materials.methanol_m3 - materials.methanol_recovered_m3
    parts = (
        materials.oil_m3 * prices.oil_per_m3,
        bought * prices.methanol_per_m3,
        materials.catalyst_kg * prices.catalyst_per_kg,
        materials.energy_j * prices.energy_per_j,
        prices.other_per_batch,
    )
    return Cost(*parts, money_per_fuel_m3=math.fsum(parts) / materials.fuel_m3)


@dataclass(frozen=True)
class PerFuel:
    """Materials for a cubic metre of fuel: m3/m3 (L/L), kg/m3 (g/L) and J/m3."""

    oil_m3_m3: float
    methanol_bought_m3_m3: float
    catalyst_kg_m3: float
    energy_j_m3: float


def materials_per_fuel(materials: Materials) -> PerFuel:
    """Materials that a volume of fuel takes.

    Equation: amount / V_fuel; methanol less what is recovered.
    Args:
        materials: what the batch takes and gives [m3, kg and J, in the field names].
    Returns: amounts per volume of fuel [m3/m3, kg/m3 and J/m3, in the field names].
    Source: derived; definition.
    """
    fuel = materials.fuel_m3
    return PerFuel(
        materials.oil_m3 / fuel,
        (materials.methanol_m3 - materials.methanol_recovered_m3) / fuel,
        materials.catalyst_kg / fuel,
        materials.energy_j / fuel,
    )
