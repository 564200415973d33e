"""The model of one plant: its geometry and piping, how its liquids behave, and the figures it is held to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from generator.figures import values
from generator.figures.record import FigureBook
from generator.plant.network import normal_state
from generator.plant.plant import Plant, Tank
from generator.rehearsal.flows import FALL_M3S, Hydraulics
from generator.rehearsal.mix import Mix, Nature
from generator.rehearsal.state import Contents, State

#: What wash water takes of the methanol, against ester, where the plant does not wash (from memory).
WATER_TAKES = 10.0
#: Oil that has reacted where a conversion test fails, or after the first of two doses (from memory).
POOR_CONVERSION = 0.88


@dataclass(frozen=True)
class Model:
    """A plant with its figures of record. Figures give limits and set points, never a way for liquid to go.

    ``conversion`` is the share of oil that reacts, None for what the figures say.
    """

    plant: Plant
    figures: FigureBook
    conversion: float | None = None

    def value(self, figure_id: str, default: float) -> float:
        """SI value of a figure, or ``default`` where this plant has none."""
        figure = self.figures.get(figure_id)
        return default if figure is None else figure.value

    @cached_property
    def hydraulics(self) -> Hydraulics:
        return Hydraulics(self.plant, self.value("injection_flow", FALL_M3S))

    @cached_property
    def nature(self) -> Nature:
        return Nature(
            oil_molar_mass=self.value("oil_molar_mass", 873.6),
            conversion=self.conversion or self.value("conversion", 0.98),
            methanol_in_ester=self.value("methanol_share_in_ester", 0.42),
            water_takes=self.value("wash_distribution", WATER_TAKES),
        )

    @cached_property
    def ceiling_c(self) -> float:
        """Highest temperature of anything that holds methanol, °C."""
        return self.figures["ceiling"].value

    @cached_property
    def boiling_c(self) -> float:
        """Where methanol boils at this site, °C."""
        return self.figures["methanol_boiling_point"].value

    @cached_property
    def ambient_c(self) -> float:
        """The air on a usual day, °C."""
        return self.plant.profile.site.ambient.usual_c

    @cached_property
    def reacting_poorly(self) -> Model:
        """The same plant while part of the oil is left, as after a first dose or a failed reaction."""
        return replace(self, conversion=min(POOR_CONVERSION, self.nature.conversion))

    @cached_property
    def reacting_to_the_end(self) -> Model:
        """The same plant, its reaction going as far as the figures say."""
        return replace(self, conversion=None)

    def tank(self, vessel: str) -> Tank:
        """A vessel with its geometry."""
        return self.plant.tanks[vessel]

    def heel_m3(self, vessel: str) -> float:
        """What no outlet of a vessel reaches, m³; 0 where it has none."""
        tank, draws = self.tank(vessel), self.hydraulics.piping.network.draws
        outlets = [port for port in tank.vessel.ports if draws(f"{vessel}.{port}")]
        return min((tank.heel_m3(port) for port in outlets), default=0.0)

    @cached_property
    def hand_pumps(self) -> frozenset[str]:
        """Pumps that stop with whoever works them."""
        return frozenset(id_ for id_, pump in self.plant.profile.pumps.items() if pump.kind == "hand")

    @cached_property
    def limits_m3(self) -> dict[str, float]:
        """Most that each vessel may hold, m³."""
        return {vessel: tank.limit_m3 for vessel, tank in self.plant.tanks.items()}

    def loss_w_k(self, vessel: str) -> float:
        """Heat a vessel loses for each kelvin above the air, W/K."""
        return self._losses[vessel]

    @cached_property
    def _losses(self) -> dict[str, float]:
        return {
            vessel: values.loss_w_m2k(self.plant.profile, tank.vessel) * tank.shape.shell_area_m2()
            for vessel, tank in self.plant.tanks.items()
        }

    def heaters(self) -> tuple[str, ...]:
        """Every heater as ``vessel.heater``."""
        vessels = self.plant.profile.vessels
        return tuple(f"{v}.{h}" for v in vessels for h in vessels[v].heaters)

    def start(self) -> State:
        """The plant at rest: empty, cold, all in its normal position, the fan off, heaters locked off."""
        positions, hoses = normal_state(self.plant.profile)
        return State(
            contents={v: Contents((Mix(),), self.ambient_c) for v in self.plant.profile.vessels},
            positions=positions,
            hoses=hoses,
            locked=frozenset(self.heaters()),
        )

    def oil(self, volume_m3: float) -> Mix:
        """That much of the plant's oil as it comes, with its water."""
        water = self.plant.profile.feedstock.usual_water
        one = Mix.of(oil=1.0 - water, water=water)
        return one.share(volume_m3 / one.volume_m3(self.ambient_c))

    def methanol(self, volume_m3: float) -> Mix:
        """That much methanol."""
        one = Mix.of(methanol=1.0)
        return one.share(volume_m3 / one.volume_m3(self.ambient_c))

    def water(self, volume_m3: float) -> Mix:
        """That much water."""
        one = Mix.of(water=1.0)
        return one.share(volume_m3 / one.volume_m3(self.ambient_c))
