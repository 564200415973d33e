"""Liquids of a plant as masses of a few substances, and what becomes of them: reaction, layers, volume."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from generator.chemistry import density, heat
from generator.chemistry.species import GLYCEROL_KG_KMOL, METHANOL_KG_KMOL, methyl_ester_molar_mass_kg_kmol

SUBSTANCES: Final = ("oil", "ester", "glycerol", "methanol", "lye", "acid", "water")

#: Flake for the room it takes up in methanol, kg/m3 (common practice, no source).
LYE_KG_M3: Final = 2040.0
#: Sulfuric acid as bottled, kg/m3 (from memory).
ACID_KG_M3: Final = 1830.0
#: Water that oil or ester keeps dissolved, kg/kg; more parts as a layer of its own (from memory, safe side).
DISSOLVED_WATER: Final = 0.005
#: Below this a substance is taken as not there, kg/kg; and as nothing at all, kg.
TRACE: Final = 1e-4
NOTHING_KG: Final = 1e-12


@dataclass(frozen=True)
class Mix:
    """Masses in kg of each of SUBSTANCES, in that order."""

    kg: tuple[float, ...] = (0.0,) * len(SUBSTANCES)

    @classmethod
    def of(cls, **kg: float) -> Mix:
        """A mix by names; KeyError for a substance that is not one."""
        unknown = kg.keys() - set(SUBSTANCES)
        if unknown:
            raise KeyError(*unknown)
        return cls(tuple(kg.get(name, 0.0) for name in SUBSTANCES))

    def __getitem__(self, name: str) -> float:
        return self.kg[SUBSTANCES.index(name)]

    def __add__(self, other: Mix) -> Mix:
        return Mix(tuple(a + b for a, b in zip(self.kg, other.kg, strict=True)))

    def __sub__(self, other: Mix) -> Mix:
        return Mix(tuple(a - b for a, b in zip(self.kg, other.kg, strict=True)))

    def share(self, fraction: float) -> Mix:
        """That fraction of every substance."""
        return Mix(tuple(mass * fraction for mass in self.kg))

    @property
    def total_kg(self) -> float:
        return sum(self.kg)

    def part(self, name: str) -> float:
        """Share by mass of one substance, kg/kg; 0 of nothing."""
        total = self.total_kg
        return self[name] / total if total > NOTHING_KG else 0.0

    def has(self, name: str) -> bool:
        """Whether there is more of a substance than a trace."""
        return self.part(name) > TRACE

    def volume_m3(self, temperature_c: float) -> float:
        """Volume at a temperature, parts added up, m3."""
        return sum(m / d for m, d in zip(self.kg, _densities(round(temperature_c, 1)), strict=True) if m)

    def heat_capacity_j_k(self, temperature_c: float) -> float:
        """Heat that warms it by a kelvin, J/K."""
        return sum(m * c for m, c in zip(self.kg, _heats(round(temperature_c)), strict=True) if m)


def total(mixes: Iterable[Mix]) -> Mix:
    """All of them together."""
    found = Mix()
    for mix in mixes:
        found += mix
    return found


def _within(value: float, low: float, high: float) -> float:
    return min(max(value, low), high)


@lru_cache(maxsize=4096)
def _densities(temperature_c: float) -> tuple[float, ...]:
    """kg/m3 of each substance; outside a formula's range as at the end of the range."""
    t = temperature_c
    return (
        density.oil_density_kg_m3(_within(t, 15.0, 110.0), OIL_15_KG_M3),
        density.ester_density_kg_m3(_within(t, 15.0, 70.0), ESTER_15_KG_M3) - 0.72 * max(t - 70.0, 0.0),
        density.glycerol_density_kg_m3(_within(t, 15.0, 70.0)),
        density.methanol_density_kg_m3(_within(t, 0.0, 65.0)),
        LYE_KG_M3,
        ACID_KG_M3,
        density.water_density_kg_m3(_within(t, 10.0, 100.0)),
    )


@lru_cache(maxsize=512)
def _heats(temperature_c: float) -> tuple[float, ...]:
    """J/kgK of each substance; lye counts as water's third, acid too (from memory)."""
    t = temperature_c
    return (
        heat.oil_specific_heat_j_kgk(_within(t, -40.0, 150.0)),
        heat.ester_specific_heat_j_kgk(_within(t, 15.0, 70.0)),
        heat.glycerol_specific_heat_j_kgk(_within(t, 15.0, 70.0)),
        heat.methanol_specific_heat_j_kgk(_within(t, 0.0, 65.0)),
        1400.0,
        1400.0,
        heat.water_specific_heat_j_kgk(_within(t, 10.0, 80.0)),
    )


#: Used oil and its ester at 15 °C, kg/m3 (from memory; the middle of usual oils).
OIL_15_KG_M3: Final = 920.0
ESTER_15_KG_M3: Final = 883.0


@dataclass(frozen=True)
class Nature:
    """How this plant's liquids behave: figures of record that the model takes as given.

    conversion: share of the oil that ends as ester · methanol_in_ester: share of the methanol left over that
    stays in the ester when glycerin parts from it · water_takes: how many times more methanol a kilogram of
    wash water takes than one of ester.
    """

    oil_molar_mass: float
    conversion: float
    methanol_in_ester: float
    water_takes: float


def reacted(mix: Mix, nature: Nature) -> Mix:
    """What stirring makes of a mix: with lye, oil and methanol become ester and glycerol, mass for mass.

    Done again it changes nothing: the reaction goes to the plant's conversion and stops.
    """
    if not (mix["oil"] > NOTHING_KG and mix["lye"] > NOTHING_KG and mix["methanol"] > NOTHING_KG):
        return mix
    ester_mass = methyl_ester_molar_mass_kg_kmol(nature.oil_molar_mass)
    oil, ester = mix["oil"] / nature.oil_molar_mass, mix["ester"] / ester_mass
    goes = oil - (1.0 - nature.conversion) * (oil + ester / 3.0)
    goes = max(0.0, min(goes, mix["methanol"] / METHANOL_KG_KMOL / 3.0))
    return mix + Mix.of(
        oil=-goes * nature.oil_molar_mass,
        methanol=-goes * 3.0 * METHANOL_KG_KMOL,
        ester=goes * 3.0 * ester_mass,
        glycerol=goes * GLYCEROL_KG_KMOL,
    )


def layered(mix: Mix, nature: Nature) -> tuple[Mix, ...]:
    """The layers that a mix parts into at rest, lowest first; one layer where nothing parts.

    Glycerin, with lye, water and most of the methanol, sinks below the ester; free water sinks below oil or
    ester; methanol with acid floats on the oil.
    """
    fat = mix["oil"] + mix["ester"]
    if fat <= NOTHING_KG:
        return (mix,)
    if mix["glycerol"] > TRACE * mix.total_kg:
        up = nature.methanol_in_ester
        light = Mix.of(oil=mix["oil"], ester=mix["ester"], methanol=up * mix["methanol"])
        return (mix - light, light)
    if mix["acid"] > TRACE * mix.total_kg and mix["methanol"] > 0.0:
        heavy = Mix.of(oil=mix["oil"], ester=mix["ester"])
        return (heavy, mix - heavy)
    if mix["water"] > DISSOLVED_WATER * mix.total_kg:
        kept = fat / (fat + nature.water_takes * mix["water"])
        light = Mix.of(oil=mix["oil"], ester=mix["ester"], methanol=kept * mix["methanol"])
        return (mix - light, light)
    return (mix,)
