"""Where the plant stands, who is called, and what keeps people safe there."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from generator.profile.types import (
    Airflow,
    AirPressure,
    Altitude,
    Area,
    Current,
    Id,
    Label,
    Length,
    Name,
    Part,
    RoomVolume,
    Temperature,
    Voltage,
    Words,
)


class Ambient(Part):
    """Air temperatures where the vessels stand, °C."""

    lowest_c: Temperature = Field(alias="lowest")
    usual_c: Temperature = Field(alias="usual")
    highest_c: Temperature = Field(alias="highest")

    @model_validator(mode="after")
    def _in_order(self) -> Ambient:
        if not self.lowest_c <= self.usual_c <= self.highest_c:
            raise PydanticCustomError("ambient_order", "lowest, usual, highest", {})
        return self


class Room(Part):
    """The room that holds the plant; an outdoor plant has none."""

    floor_area_m2: Area = Field(alias="floor_area")
    volume_m3: RoomVolume = Field(alias="volume")
    exhaust_m3s: Airflow = Field(alias="exhaust")


class Mains(Part):
    """Supply at the plant's panel."""

    voltage_v: Voltage = Field(alias="voltage")
    circuit_a: Current = Field(alias="circuit")
    residual_current_device: bool


class Contacts(Part):
    """Numbers and people printed on the emergency card; none may be empty."""

    emergency_number: Name
    poison_centre: Name
    fire_authority: Name
    keeper: Name
    muster_point: Name


class Site(Part):
    """One place; either ``altitude`` or ``barometer`` must be given, because every ceiling hangs on it."""

    altitude_m: Altitude | None = Field(alias="altitude", default=None)
    barometer_pa: AirPressure | None = Field(alias="barometer", default=None)
    placement: Literal["indoors", "outdoors", "open_shed"]
    ambient: Ambient
    room: Room | None = None
    mains: Mains
    address: Words
    contacts: Contacts
    works_alone: bool
    jurisdiction: Literal["us", "england", "other"]
    handbook_address: str | None = Field(default=None, pattern=r"^https?://[^\s<>\"']{1,200}$")

    @model_validator(mode="after")
    def _pressure_known(self) -> Site:
        if self.altitude_m is None and self.barometer_pa is None:
            raise PydanticCustomError("altitude_missing", "altitude or barometer", {})
        if self.placement == "indoors" and self.room is None:
            raise PydanticCustomError("room_missing", "room", {})
        return self


class EmergencyStop(Part):
    """What the red button does. ``cuts`` names heaters (``vessel.heater``), pumps by id and
    vacuum pumps (``condenser.vacuum``).
    """

    place: Name
    latching: bool
    stays_off_after_power_returns: bool
    cuts: list[str] = Field(min_length=1)


class Extinguisher(Part):
    place: Name
    kind: Literal["alcohol_resistant_foam", "dry_powder", "carbon_dioxide"]


class GasAlarm(Part):
    """Set points as parts per million of methanol in air."""

    place: Name
    warns_at_ppm: float = Field(gt=0, le=60000, alias="warns_at_ppm")
    leaves_at_ppm: float = Field(gt=0, le=60000, alias="leaves_at_ppm")


class Fan(Part):
    label: Label
    switch_place: Name
    flow_m3s: Airflow = Field(alias="flow")
    draws_low_and_high: bool


class Containment(Part):
    """A bund: plan area and wall height inside; ``holds`` lists the vessels that stand in it."""

    area_m2: Area = Field(alias="area")
    height_m: Length = Field(alias="height")
    holds: list[Id]
    roofed: bool


class Safety(Part):
    """Equipment that the emergency card names by place."""

    emergency_stop: EmergencyStop
    isolator_place: Name
    eyewash_place: Name
    shower_place: Name | None = None
    spill_kit_place: Name
    extinguishers: list[Extinguisher] = Field(min_length=1)
    gas_alarm: GasAlarm | None = None
    fan: Fan | None = None
    containment: Containment | None = None
