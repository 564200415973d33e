"""Vessels: shape, ports with heights, heaters, gauges, vents, and the roles a vessel plays in a batch."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from generator.profile.types import (
    Bore,
    Current,
    Fraction,
    Id,
    Label,
    Length,
    Material,
    Name,
    Part,
    Power,
    Temperature,
    TemperatureStep,
    Voltage,
    Volume,
    WattDensity,
    quantity_schema,
    reader,
)

Role = Literal[
    "oil_supply",
    "dry",
    "react",
    "settle",
    "strip",
    "wash",
    "fuel",
    "glycerin",
    "methanol",
    "methoxide",
    "recovered_methanol",
    "waste_water",
    "acid_waste",
]


class VerticalCylinder(Part):
    """Upright cylinder; ``height`` is the straight side, ``bottom_depth`` what the bottom adds or takes."""

    kind: Literal["vertical_cylinder"]
    diameter_m: Length = Field(alias="diameter", gt=0)
    height_m: Length = Field(alias="height", gt=0)
    bottom: Literal["flat", "cone", "ellipsoidal", "torispherical", "cap_out", "dished_in"]
    bottom_depth_m: Length | None = Field(alias="bottom_depth", default=None, gt=0)
    crown_radius_ratio: float = Field(default=1.0, ge=0.5, le=2.0)
    knuckle_radius_ratio: float = Field(default=0.06, ge=0.02, le=0.5)

    @model_validator(mode="after")
    def _depth_known(self) -> VerticalCylinder:
        needs = self.bottom in ("cone", "cap_out", "dished_in")
        if needs and self.bottom_depth_m is None:
            raise PydanticCustomError("bottom_depth_missing", "bottom depth", {"bottom": self.bottom})
        return self


class HorizontalCylinder(Part):
    kind: Literal["horizontal_cylinder"]
    diameter_m: Length = Field(alias="diameter", gt=0)
    length_m: Length = Field(alias="length", gt=0)


class Box(Part):
    kind: Literal["box"]
    length_m: Length = Field(alias="length", gt=0)
    width_m: Length = Field(alias="width", gt=0)
    height_m: Length = Field(alias="height", gt=0)
    floor_slope_m: Length = Field(alias="floor_slope", default=0.0)


class DipPoint(Part):
    level_m: Length = Field(alias="level")
    volume_m3: Volume = Field(alias="volume")


class DipTable(Part):
    """Volume measured at heights, lowest first; level 0 holds nothing."""

    kind: Literal["dip_table"]
    points: list[DipPoint] = Field(min_length=2)
    plan_diameter_m: Length = Field(alias="plan_diameter", gt=0)


Shape = Annotated[VerticalCylinder | HorizontalCylinder | Box | DipTable, Field(discriminator="kind")]


class Port(Part):
    """A hole in the shell. ``height`` is where liquid leaves or enters, above the lowest inside point."""

    height_m: Length = Field(alias="height")
    space: Literal["liquid", "gas"] = "liquid"
    dip_end_m: Length | None = Field(alias="dip_end", default=None)

    @property
    def mouth_m(self) -> float:
        """Height of the open end inside, m: a dip pipe's end, else the hole itself."""
        return self.height_m if self.dip_end_m is None else self.dip_end_m


class HighLimit(Part):
    """``set_point`` is where it trips; a limit that is set for each duty has none."""

    label: Label
    manual_reset: bool
    independent: bool
    set_point_c: Temperature | None = Field(alias="set_point", default=None)


class Thermostat(Part):
    label: Label
    differential_k: TemperatureStep = Field(alias="differential")


class Heater(Part):
    """An immersion element. ``top_of_hot_part`` is measured from the vessel's lowest inside point."""

    label: Label
    rated_power_w: Power = Field(alias="rated_power")
    rated_voltage_v: Voltage = Field(alias="rated_voltage")
    supply_voltage_v: Voltage = Field(alias="supply_voltage")
    top_of_hot_part_m: Length = Field(alias="top_of_hot_part")
    sheath_diameter_m: Bore | None = Field(alias="sheath_diameter", default=None)
    heated_length_m: Length | None = Field(alias="heated_length", default=None, gt=0)
    rated_watt_density_w_m2: WattDensity | None = Field(alias="rated_watt_density", default=None)
    thermostat: Thermostat
    high_limit: HighLimit | None = None
    low_level_cutout: bool
    terminals_rated_for_vapour: bool
    circuit_a: Current | None = Field(alias="circuit", default=None)


class Vent(Part):
    """Where the vessel breathes. ``valved`` says whether anything can shut it."""

    to: Literal["outdoors", "condenser", "room", "none"]
    condenser: Id | None = None
    valved: bool = False
    bore_m: Bore | None = Field(alias="bore", default=None)
    height_above_ground_m: Length | None = Field(alias="height_above_ground", default=None)
    flame_arrester: bool = False


GaugeStep = Annotated[
    float, reader("volume", 1e-4, 50.0, wrong_kind="gauge_resolution"), quantity_schema("volume", "5 L")
]
ThermometerStep = Annotated[
    float,
    reader("temperature_difference", 0.0, 60.0, wrong_kind="thermometer_resolution"),
    quantity_schema("temperature_difference", "1 degC"),
]


class Gauge(Part):
    """How contents are read: ``resolution`` is the smallest step a person can read."""

    kind: Literal["sight_tube", "dipstick", "scale", "meter", "marks"]
    resolution_m3: GaugeStep = Field(alias="resolution")


class Thermometer(Part):
    label: Label
    resolution_k: ThermometerStep = Field(alias="resolution", gt=0)


class Agitator(Part):
    label: Label
    kind: Literal["hand", "air", "electric"]
    rated_for_vapour: bool


class Vessel(Part):
    """A tank, can or drum. ``elevation`` is its lowest inside point above the floor."""

    label: Label
    name: Name
    roles: list[Role] = Field(min_length=1)
    shape: Shape
    elevation_m: Length = Field(alias="elevation")
    capacity_m3: Volume | None = Field(alias="capacity", default=None)
    material: Material
    insulated: bool = False
    closed: bool
    rated_for_vacuum: bool = False
    movable: bool = False
    max_fill: Fraction = 0.90
    max_temperature_c: Temperature | None = Field(alias="max_temperature", default=None)
    vent: Vent
    ports: dict[Id, Port] = Field(default_factory=dict)
    heaters: dict[Id, Heater] = Field(default_factory=dict)
    gauge: Gauge | None = None
    thermometer: Thermometer | None = None
    agitator: Agitator | None = None
    shares_wall_with: Id | None = None
    earthed: bool = False
