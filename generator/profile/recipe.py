"""Feedstock, recipe and finishing: what is made, from what, by which choices of the plant's owner."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from generator.profile.types import (
    Flow,
    Fraction,
    Mass,
    MolarRatio,
    Name,
    Part,
    Pressure,
    Temperature,
    TemperatureStep,
    Time,
    TitrationVolume,
    Volume,
)

Base = Literal["KOH", "NaOH"]


class FattyAcids(Part):
    """Shares by mass, by carbon atoms : double bonds; together about the whole."""

    c12_0: Fraction | None = Field(alias="12:0", default=None)
    c14_0: Fraction | None = Field(alias="14:0", default=None)
    c16_0: Fraction | None = Field(alias="16:0", default=None)
    c16_1: Fraction | None = Field(alias="16:1", default=None)
    c18_0: Fraction | None = Field(alias="18:0", default=None)
    c18_1: Fraction | None = Field(alias="18:1", default=None)
    c18_2: Fraction | None = Field(alias="18:2", default=None)
    c18_3: Fraction | None = Field(alias="18:3", default=None)
    c20_0: Fraction | None = Field(alias="20:0", default=None)
    c20_1: Fraction | None = Field(alias="20:1", default=None)
    c22_1: Fraction | None = Field(alias="22:1", default=None)

    @property
    def shares(self) -> dict[str, float]:
        """Those that were given, by name: ``18:1``."""
        given = self.model_dump(by_alias=True, exclude_none=True)
        return {name: float(share) for name, share in given.items()}

    @model_validator(mode="after")
    def _whole(self) -> FattyAcids:
        total = sum(self.shares.values())
        if not 0.9 <= total <= 1.1:
            raise PydanticCustomError("fatty_acids_sum", "sum", {"total": f"{100 * total:.0f} %"})
        return self


class Analyses(Part):
    """What a laboratory said of the oil; mg KOH/g, and g iodine for 100 g."""

    saponification_value: float | None = Field(default=None, ge=160, le=265)
    acid_value: float | None = Field(default=None, ge=0, le=40)
    iodine_value: float | None = Field(default=None, ge=0, le=220)
    fatty_acids: FattyAcids | None = None


class WaterTester(Part):
    """A carbide tester by its maker's data: mass of the sample, and gas space of the closed vessel."""

    sample_kg: Mass = Field(alias="sample", ge=0.001, le=0.2)
    gas_space_m3: Volume = Field(alias="gas_space", le=0.002)


class Feedstock(Part):
    """Titrations are millilitres of the plant's own titrant for one millilitre of oil."""

    oil: Name
    usual_titration_ml: TitrationVolume = Field(alias="usual_titration")
    highest_titration_ml: TitrationVolume = Field(alias="highest_titration")
    usual_water: Fraction = Field(default=0.001, le=0.01)
    analyses: Analyses = Analyses()
    water_tester: WaterTester | None = None

    @model_validator(mode="after")
    def _in_order(self) -> Feedstock:
        if self.usual_titration_ml > self.highest_titration_ml:
            raise PydanticCustomError("titration_order", "usual above highest", {})
        return self


class Titrant(Part):
    """``made_from``: the batch's own flake (its purity then cancels out) or a standardised solution."""

    base: Base
    made_from: Literal["same_flake", "standardised"]


class Catalyst(Part):
    """Purity must be stated: there is no safe default."""

    base: Base
    purity: Fraction = Field(gt=0.5)
    base_rate: Fraction | None = Field(default=None, gt=0, le=0.03)
    titrant: Titrant

    @property
    def pure_rate(self) -> float:
        """Pure base for oil without free acid, share of oil mass (customary 1.0 % KOH, 0.5 % NaOH)."""
        if self.base_rate is not None:
            return float(self.base_rate)
        return 0.010 if self.base == "KOH" else 0.005


class Methanol(Part):
    """Either ``percent`` of the oil's volume or ``molar_ratio`` to the oil."""

    percent: Fraction | None = Field(default=None, ge=0.13, le=0.6)
    molar_ratio: MolarRatio | None = None
    measured_at_c: Temperature = Field(alias="measured_at", default=20.0, ge=0, le=60)

    @model_validator(mode="after")
    def _one(self) -> Methanol:
        if (self.percent is None) == (self.molar_ratio is None):
            raise PydanticCustomError("methanol_dose_choice", "percent or molar ratio", {})
        return self


class Batch(Part):
    oil_m3: Volume = Field(alias="oil")
    measured_at_c: Temperature = Field(alias="measured_at", default=20.0)

    @model_validator(mode="after")
    def _thin_enough(self) -> Batch:
        if not 15.0 <= self.measured_at_c <= 110.0:  # the range of the oil's density
            raise PydanticCustomError("oil_measured_at", "no density", {"at": "measured_at"})
        return self


class Reaction(Part):
    set_point_c: Temperature = Field(alias="set_point")
    margin_k: TemperatureStep = Field(alias="margin", default=5.0, ge=5)
    time_s: Time = Field(alias="time", default=3600.0)


class Drying(Part):
    set_point_c: Temperature = Field(alias="set_point", le=100)
    time_s: Time = Field(alias="time")


class Settling(Part):
    time_s: Time = Field(alias="time", default=8 * 3600.0)


class Sweep(Part):
    gas: Literal["nitrogen"]
    flow_m3s: Flow = Field(alias="flow")


class AcidStep(Part):
    """Free fatty acid turned into ester by acid and methanol before the base; the acid's strength is stated.

    ``left_share`` is the share of the free fatty acid left after one round, found by titration.
    """

    acid_strength: Fraction = Field(ge=0.9, le=0.99)
    highest_ffa: Fraction = Field(gt=0.01, le=0.15)
    left_share: Fraction = Field(ge=0.01, le=0.9)
    set_point_c: Temperature = Field(alias="set_point", le=65)
    time_s: Time = Field(alias="time", default=3600.0)
    settling_s: Time = Field(alias="settling", default=8 * 3600.0)


class Vacuum(Part):
    """Absolute pressure at which the methanol is driven off."""

    pressure_pa: Pressure = Field(alias="pressure", ge=5e3, le=80e3)


class Stripping(Part):
    """Methanol driven off behind a condenser, helped by a sweep of gas or by vacuum."""

    set_point_c: Temperature = Field(alias="set_point", ge=70, le=120)
    target_share: Fraction = Field(alias="target_share", gt=0, le=0.01)
    sweep: Sweep | None = None
    vacuum: Vacuum | None = None

    @model_validator(mode="after")
    def _one_help(self) -> Stripping:
        if self.sweep is not None and self.vacuum is not None:
            raise PydanticCustomError("sweep_and_vacuum", "sweep or vacuum", {})
        return self


class WaterWash(Part):
    method: Literal["water"]
    washes: int = Field(ge=1, le=8)
    share: Fraction = Field(gt=0, le=1)
    temperature_c: Temperature = Field(alias="temperature", le=60)
    dry_set_point_c: Temperature = Field(alias="dry_set_point", le=100)
    dry_time_s: Time = Field(alias="dry_time")


class DryWash(Part):
    """Soap taken out by the tower in line; ``soap_in`` is the highest the tower may see, ppm."""

    method: Literal["tower"]
    soap_in_ppm: float = Field(gt=0, le=10000)
    glycerin_in: Fraction = Field(default=0.0008, gt=0, le=0.01)


class Recipe(Part):
    batch: Batch
    catalyst: Catalyst
    methanol: Methanol
    drying: Drying
    reaction: Reaction
    stages: int = Field(default=1, ge=1, le=2)
    first_share: Fraction = Field(default=0.80, ge=0.5, le=0.95)
    acid_step: AcidStep | None = None
    settling: Settling = Field(default_factory=lambda: Settling.model_validate({}))
    stripping: Stripping | None = None
    washing: WaterWash | DryWash = Field(discriminator="method")
