"""The plant's own values for numbers that are otherwise customary or recalled; a closed list.

A key that is left out keeps the customary value, which the handbook prints as one to be checked. Bounds are
those within which the formulas hold; where less care would hurt somebody they end at the customary value.
"""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from generator.profile.types import (
    Fraction,
    Part,
    Temperature,
    TemperatureStep,
    Time,
    Volume,
    quantity_schema,
    reader,
)

Density = Annotated[float, reader("density", 500.0, 2500.0), quantity_schema("density", "920 kg/m3")]
HeatTransfer = Annotated[
    float, reader("heat_transfer", 0.1, 50.0), quantity_schema("heat_transfer", "8 W/m2K")
]
Rate = Annotated[float, reader("rate_per_hour", 0.1, 100.0), quantity_schema("rate_per_hour", "3 /h")]
MassFlow = Annotated[float, reader("mass_flow", 1e-9, 1.0), quantity_schema("mass_flow", "0.1 kg/h")]
Difference = Annotated[float, reader("density", 1.0, 500.0), quantity_schema("density", "200 kg/m3")]
Height = Annotated[float, reader("length", 0.0, 2.0), quantity_schema("length", "75 mm")]


class OwnValues(Part):
    """Every field is optional; its name is the key of the figure that shows it."""

    oil_density_15: Density | None = Field(default=None, ge=890, le=970)
    conversion: Fraction | None = Field(default=None, ge=0.90, le=0.995)
    methanol_share_in_ester: Fraction | None = Field(default=None, ge=0.25, le=0.45)
    least_loss: Fraction | None = Field(default=None, ge=0, le=0.5)
    most_loss: Fraction | None = Field(default=None, ge=0, le=0.5)
    element_cover: Height | None = Field(default=None, ge=0.075)
    high_limit_margin: TemperatureStep | None = Field(default=None, ge=2, le=5)
    dry_limit_rise: TemperatureStep | None = Field(default=None, ge=2, le=20)
    loss_bare: HeatTransfer | None = None
    loss_insulated: HeatTransfer | None = None
    portion_share: Fraction | None = Field(default=None, ge=0.01, le=0.10)
    dissolving_most: Temperature | None = Field(default=None, ge=20, le=45)
    injection_share: Fraction | None = Field(default=None, ge=0.02, le=0.20)
    injection_least: Time | None = Field(default=None, ge=420, le=14400)
    again_methanol_share: Fraction | None = Field(default=None, ge=0.05, le=0.10)
    again_base_share: Fraction | None = Field(default=None, ge=0.10, le=0.20)
    ffa_single: Fraction | None = Field(default=None, le=0.15)
    ffa_direct_base: Fraction | None = Field(default=None, le=0.15)
    ffa_base: Fraction | None = Field(default=None, le=0.15)
    water_dry: Fraction | None = Field(default=None, le=0.002)
    air_release: MassFlow | None = None
    fire_mixing: float | None = Field(default=None, ge=4, le=10)
    people_mixing: float | None = Field(default=None, ge=3, le=10)
    spill: Volume | None = Field(default=None, le=1)
    rain: Height | None = Field(default=None, le=1)
    bed_volumes: Rate | None = Field(default=None, ge=1, le=5)
    fuel_acid_value: float | None = Field(default=None, ge=0, le=0.45)
    wash_distribution: float | None = Field(default=None, ge=1, le=10)
    wash_rest: Time | None = Field(default=None, ge=600, le=86400)
    condenser_rise: TemperatureStep | None = Field(default=None, ge=1, le=40)
    pump_liquid: Volume | None = Field(default=None, le=0.1)
    suction_loss: Height | None = None
    layer_difference: Difference | None = None

    @model_validator(mode="after")
    def _in_order(self) -> OwnValues:
        low = 0.01 if self.ffa_single is None else self.ffa_single
        middle = 0.03 if self.ffa_direct_base is None else self.ffa_direct_base
        high = 0.05 if self.ffa_base is None else self.ffa_base
        if not low <= middle <= high:
            raise PydanticCustomError("route_order", "ffa_single, ffa_direct_base, ffa_base", {})
        least = 0.02 if self.least_loss is None else self.least_loss
        most = 0.08 if self.most_loss is None else self.most_loss
        if least > most:
            raise PydanticCustomError("loss_order", "least_loss above most_loss", {})
        return self
