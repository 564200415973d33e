"""Pumps, valves, lines, hoses and the things in line.

A ``Ref`` names an end: ``vessel.port``, ``pump.in``, ``pump.out``, ``tower.in``, a three-way valve's
``valve.port``, a tee, a supply, or ``open`` (a free spout).
"""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from generator.profile.types import (
    Bore,
    Flow,
    Fraction,
    Id,
    Label,
    Length,
    Mass,
    Material,
    Name,
    Part,
    Power,
    Pressure,
    Ref,
    Temperature,
    Volume,
)


class Pump(Part):
    """``when_stopped`` matters: a stopped centrifugal pump is an open pipe."""

    label: Label
    name: Name
    kind: Literal["centrifugal", "gear", "diaphragm", "hand"]
    when_stopped: Literal["passes", "blocks"]
    flow_m3s: Flow = Field(alias="flow")
    power_w: Power | None = Field(alias="power", default=None)
    rated_for_vapour: bool
    self_priming: bool = False
    has_relief: bool = False
    elevation_m: Length = Field(alias="elevation")
    shut_off_pressure_pa: Pressure | None = Field(alias="shut_off_pressure", default=None)
    max_temperature_c: Temperature | None = Field(alias="max_temperature", default=None)
    material: Material | None = None

    @model_validator(mode="after")
    def _centrifugal_passes(self) -> Pump:
        if self.kind == "centrifugal" and self.when_stopped == "blocks":
            raise PydanticCustomError("centrifugal_blocks", "a stopped centrifugal pump passes", {})
        return self


class Valve(Part):
    """``label`` is the painted text, as it is; a three-way valve's ``positions`` name what joins what."""

    label: Label
    kind: Literal["ball", "gate", "needle", "globe", "check", "spring_return", "solenoid", "three_way"]
    normal: str = "closed"
    locked: bool = False
    place: Name | None = None
    material: Material | None = None
    positions: dict[str, list[Id]] | None = None
    elevation_m: Length | None = Field(alias="elevation", default=None)

    @model_validator(mode="after")
    def _positions_fit(self) -> Valve:
        three_way = self.kind == "three_way"
        if three_way and not self.positions:
            raise PydanticCustomError("positions_missing", "a three-way valve names its positions", {})
        if not three_way and self.positions:
            raise PydanticCustomError("positions_unwanted", "only a three-way valve has positions", {})
        for name, ports in (self.positions or {}).items():
            if len(ports) == 1:
                facts = {"position": name, "port": ports[0], "at": ["positions", name]}
                raise PydanticCustomError("position_one_port", "joins nothing", facts)
        allowed = list(self.positions or {}) if three_way else ["open", "closed"]
        if self.kind != "check" and self.normal not in allowed:
            facts = {"text": self.normal, "allowed": ", ".join(allowed)}
            raise PydanticCustomError("normal_unknown", "normal position", facts)
        return self


class Restrictor(Part):
    flow_m3s: Flow = Field(alias="flow")


class Line(Part):
    """A pipe between two ends; ``valves`` stand in it in order from ``from`` to ``to``.

    ``has_relief``: a relief valve on it leads to a vented vessel, so that liquid shut in cannot burst it.
    """

    from_: Ref = Field(alias="from")
    to: Ref
    valves: list[Id] = Field(default_factory=list)
    restrictor: Restrictor | None = None
    holds_m3: Volume | None = Field(alias="holds", default=None)
    highest_m: Length | None = Field(alias="highest", default=None)
    has_relief: bool = False
    bore_m: Bore | None = Field(alias="bore", default=None)


class Hose(Part):
    """A line whose far end is moved by hand between ``ends``; free otherwise."""

    label: Label
    name: Name
    fixed: Ref
    ends: list[Ref] = Field(min_length=1)
    valves: list[Id] = Field(default_factory=list)
    free_end: Literal["open", "self_sealing"]
    normal: Ref | None = None
    bore_m: Bore | None = Field(alias="bore", default=None)
    material: Literal["ptfe", "fkm", "polyethylene", "nitrile", "natural_rubber", "steel"] | None = None


class Tee(Part):
    name: Name | None = None
    elevation_m: Length | None = Field(alias="elevation", default=None)


class Supply(Part):
    """Something that comes from outside by its own pressure: mains water."""

    label: Label
    name: Name
    carries: Literal["water"]
    flow_m3s: Flow = Field(alias="flow")


class LastBed(Part):
    """What a filling of resin like the one in use has cleaned by the plant's own log, soap in ppm."""

    fuel_m3: Volume = Field(alias="fuel")
    soap_in_ppm: float = Field(gt=0, le=10000)
    soap_out_ppm: float = Field(ge=0, le=10000)

    @model_validator(mode="after")
    def _took_some(self) -> LastBed:
        if self.soap_out_ppm >= self.soap_in_ppm:
            raise PydanticCustomError("last_bed_order", "took nothing", {"at": "soap_out_ppm"})
        return self


class Inline(Part):
    """Equipment that liquid passes through from ``in`` to ``out``.

    A resin's capacity is stated, or comes from ``last_bed``; of an adsorbent its mass and ``soap_uptake``,
    the soap that it takes by its own mass, are stated.
    """

    label: Label
    name: Name
    kind: Literal["resin_tower", "adsorbent_tower", "filter", "strainer"]
    bed_volume_m3: Volume | None = Field(alias="bed_volume", default=None)
    capacity_eq_per_l: float | None = Field(default=None, ge=0.1, le=5)
    last_bed: LastBed | None = None
    adsorbent_kg: Mass | None = Field(alias="adsorbent", default=None)
    soap_uptake: Fraction | None = Field(default=None, gt=0, le=0.3)
    max_temperature_c: Temperature | None = Field(alias="max_temperature", default=None)
    rated_pressure_pa: Pressure | None = Field(alias="rated_pressure", default=None)
    elevation_m: Length | None = Field(alias="elevation", default=None)

    @model_validator(mode="after")
    def _bed_known(self) -> Inline:
        known = self.capacity_eq_per_l is not None or self.last_bed is not None
        if self.kind == "resin_tower" and (self.bed_volume_m3 is None or not known):
            raise PydanticCustomError("bed_missing", "a resin tower needs bed volume and capacity", {})
        return self


class VacuumPump(Part):
    """Draws on a condenser's outlet and blows outdoors. ``air_valve`` stands open but for the vacuum itself:
    everything behind the condenser breathes through it.
    """

    label: Label
    name: Name
    power_w: Power = Field(alias="power")
    rated_for_vapour: bool
    lowest_pressure_pa: Pressure = Field(alias="lowest_pressure")
    gauge_label: Label
    air_valve: Label


class Condenser(Part):
    """Cools a vessel's vapour; ``drains_to`` is the vessel that gets the condensate.

    ``water_trip``: whether the heater below it is cut when the cooling water fails.
    """

    label: Label
    name: Name
    drains_to: Id
    water_flow_m3s: Flow = Field(alias="water_flow")
    water_valve: Label
    water_trip: bool = False
    vent: Literal["outdoors"] = "outdoors"
    vacuum: VacuumPump | None = None


class PinnedRoute(Part):
    """Settles which way a transfer goes where several would do: the lines it must use."""

    from_: Id = Field(alias="from")
    to: Id
    via: list[Id] = Field(min_length=1)
