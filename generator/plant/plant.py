"""The plant: a profile with its vessels' geometry and its line network, ready to compute with."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from generator.plant import bottoms, geometry
from generator.plant.dip_table import DipTable
from generator.profile import vessels as described
from generator.profile.model import Profile


@dataclass(frozen=True)
class Tank:
    """A vessel with geometry. Levels are m above its lowest inside point, volumes m³."""

    id: str
    vessel: described.Vessel
    shape: geometry.Shape

    @property
    def label(self) -> str:
        return self.vessel.label

    @property
    def capacity_m3(self) -> float:
        """Stated capacity where it is the smaller, else computed from the shape."""
        computed = self.shape.capacity_m3()
        stated = self.vessel.capacity_m3
        return computed if stated is None else min(computed, stated)

    @property
    def limit_m3(self) -> float:
        """Largest volume at filling temperature."""
        return self.capacity_m3 * self.vessel.max_fill

    def heel_m3(self, port: str) -> float:
        """Volume left below an outlet's mouth."""
        return self.shape.volume_at(self.vessel.ports[port].mouth_m)

    def port_elevation_m(self, port: str) -> float:
        """Height of a port's mouth above the floor."""
        return self.vessel.elevation_m + self.vessel.ports[port].mouth_m


@dataclass(frozen=True)
class Plant:
    """Everything the later stages need to know of the equipment."""

    profile: Profile

    @cached_property
    def tanks(self) -> dict[str, Tank]:
        return {
            vessel_id: Tank(vessel_id, vessel, build_shape(vessel.shape))
            for vessel_id, vessel in self.profile.vessels.items()
        }

    def with_role(self, role: str) -> Tank | None:
        """The vessel that plays a role; None where there is none (references refuse two)."""
        for tank in self.tanks.values():
            if role in tank.vessel.roles:
                return tank
        return None

    def the(self, role: str) -> Tank:
        """The vessel that plays a role; KeyError where the profile has none."""
        tank = self.with_role(role)
        if tank is None:
            raise KeyError(role)
        return tank

    @cached_property
    def by_label(self) -> dict[str, str]:
        """Ids (``vessel.heater`` for a heater) by painted label; one that is painted twice leads nowhere."""
        profile = self.profile
        ids = [f"{id_}.{heater}" for id_, vessel in profile.vessels.items() for heater in vessel.heaters]
        ids += [f"{id_}.vacuum" for id_, condenser in profile.condensers.items() if condenser.vacuum]
        ids += [id_ for section in self._sections for id_ in section]
        labels = [self.label(id_) for id_ in ids]
        return {label: id_ for label, id_ in zip(labels, ids, strict=True) if labels.count(label) == 1}

    @property
    def _sections(self) -> tuple[Mapping[str, Any], ...]:
        """Everything that carries an id of its own and a label."""
        profile = self.profile
        return (
            profile.vessels,
            profile.pumps,
            profile.valves,
            profile.hoses,
            profile.inline,
            profile.condensers,
            profile.supplies,
        )

    def label(self, equipment_id: str) -> str:
        """What is painted on a piece of equipment; ``vessel.heater`` for a heater."""
        profile = self.profile
        owner, _, heater = equipment_id.partition(".")
        if heater and owner in profile.vessels and heater in profile.vessels[owner].heaters:
            return profile.vessels[owner].heaters[heater].label
        if heater == "vacuum" and owner in profile.condensers:
            vacuum = profile.condensers[owner].vacuum
            if vacuum is None:
                raise KeyError(equipment_id)
            return vacuum.label
        for section in self._sections:
            if owner in section:
                return str(section[owner].label)
        raise KeyError(equipment_id)

    def called(self, equipment_id: str) -> str:
        """Name and label of what has both, the label alone of the rest, the id of what bears none."""
        profile = self.profile
        for section in (profile.vessels, profile.pumps, profile.inline, profile.hoses, profile.supplies):
            if equipment_id in section:
                part: Any = section[equipment_id]
                return f"{part.name} ({part.label})"
        try:
            return self.label(equipment_id)
        except KeyError:
            return equipment_id


_PLAIN_BOTTOMS = {
    "cone": bottoms.ConeBottom,
    "ellipsoidal": bottoms.EllipsoidalBottom,
    "cap_out": bottoms.CapBottom,
    "dished_in": bottoms.DishedInBottom,
}


def _bottom(shape: described.VerticalCylinder) -> bottoms.Bottom:
    if shape.bottom == "flat":
        return bottoms.Bottom()
    if shape.bottom == "torispherical":
        return bottoms.TorisphericalBottom(shape.crown_radius_ratio, shape.knuckle_radius_ratio)
    # A 2:1 ellipsoidal head is a quarter of the diameter deep; the profile may say otherwise.
    depth_m = shape.bottom_depth_m if shape.bottom_depth_m is not None else shape.diameter_m / 4
    return _PLAIN_BOTTOMS[shape.bottom](depth_m)


def build_shape(shape: described.Shape) -> geometry.Shape:
    """Geometry for a described shape. Raises ValueError for sizes that cannot be."""
    if isinstance(shape, described.VerticalCylinder):
        bottom = _bottom(shape)
        # A bottom that bulges out adds its depth to the straight side; one dished in stands inside it.
        below_m = 0.0 if shape.bottom == "dished_in" else bottom.zone_height_m(shape.diameter_m / 2)
        return geometry.VerticalCylinder(shape.diameter_m, shape.height_m + below_m, bottom)
    if isinstance(shape, described.HorizontalCylinder):
        return geometry.HorizontalCylinder(shape.diameter_m, shape.length_m)
    if isinstance(shape, described.Box):
        return geometry.Box(shape.length_m, shape.width_m, shape.height_m, shape.floor_slope_m)
    return DipTable(
        tuple(point.level_m for point in shape.points),
        tuple(point.volume_m3 for point in shape.points),
        math.pi * shape.plan_diameter_m**2 / 4,
    )
