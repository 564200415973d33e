"""What every group of figures starts from: the plant, the book being filled, and which pump does what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from generator.chemistry import density, shell_loss
from generator.figures import values
from generator.figures.record import Figure, FigureBook
from generator.plant.plant import Plant, Tank
from generator.profile.model import Profile
from generator.profile.recipe import Recipe
from generator.profile.site import Site

#: A number that goes into a figure: (SI value, quantity), or the figure it comes from.
Given = Figure | tuple[float, str]
Inputs = dict[str, Given]


#: Wall temperature for which the least loss of a bare vessel is worked out, °C: what one waits for.
COOLED_C: Final = 38.0


@dataclass(frozen=True)
class Basis:
    """Figures are added to ``book``; pump ids are None where the plant has no such pump."""

    plant: Plant
    book: FigureBook
    react_pump: str | None
    finish_pump: str | None

    @property
    def profile(self) -> Profile:
        return self.plant.profile

    @property
    def recipe(self) -> Recipe:
        return self.plant.profile.recipe

    @property
    def site(self) -> Site:
        return self.plant.profile.site

    def value(self, figure_id: str) -> float:
        """SI value of a figure already in the book; KeyError where it is not."""
        return self.book[figure_id].value

    def given(self, key: str) -> Figure:
        """A customary number as a figure, the plant's own value where it states one; added on first use."""
        there = self.book.get(key)
        if there is not None:
            return there
        own = getattr(self.profile.own_values, key) is not None
        return self.book.add(key, values.value(self.profile, key), values.CUSTOMARY[key][0], own=own)

    def base_rate(self) -> Figure:
        """Pure base for oil without free acid, as a figure."""
        there = self.book.get("base_rate")
        if there is not None:
            return there
        catalyst = self.recipe.catalyst
        return self.book.add(
            "base_rate", catalyst.pure_rate, "mass_fraction", own=catalyst.base_rate is not None
        )

    def loss_coefficient(self, tank: Tank) -> Figure:
        """Loss coefficient of a vessel's shell, W/m2K: one of each bare vessel, one for all insulated."""
        vessel = tank.vessel
        key = values.loss_key(vessel.insulated)
        own = getattr(self.profile.own_values, key) is not None
        each = not own and not vessel.insulated
        there = self.book.get(f"{tank.id}.{key}" if each else key)
        if there is not None:
            return there
        hottest: Inputs = {
            "T_w": (values.hottest_c(self.profile, vessel), "temperature"),
            "ε": (shell_loss.EMISSIVITY[values.finish(vessel)][1], "fraction"),
        }
        return self.book.add(
            key,
            values.loss_w_m2k(self.profile, vessel),
            "heat_transfer",
            hottest if each else {},
            subject=tank.id if each else None,
            own=own,
        )

    def cooling_coefficient(self, tank: Tank) -> Figure:
        """Loss coefficient to wait with, W/m2K: of a bare vessel the least, else as for heating."""
        if tank.vessel.insulated or self.profile.own_values.loss_bare is not None:
            return self.loss_coefficient(tank)
        there = self.book.get(f"{tank.id}.loss_bare_least")
        if there is not None:
            return there
        finish = values.finish(tank.vessel)
        return self.book.add(
            "loss_bare_least",
            shell_loss.bare_loss_least_w_m2k(finish, COOLED_C),
            "heat_transfer",
            {"T_w": (COOLED_C, "temperature"), "ε": (shell_loss.EMISSIVITY[finish][0], "fraction")},
            subject=tank.id,
        )

    def loss_inputs(self, tank: Tank) -> Inputs:
        """The two numbers a vessel's heat loss is made from."""
        return {"U": self.loss_coefficient(tank), "A": (tank.shape.shell_area_m2(), "area")}

    def loss_w_k(self, tank: Tank) -> float:
        """Heat a vessel loses for each kelvin above the room, W/K."""
        return self.loss_coefficient(tank).value * tank.shape.shell_area_m2()

    def flow_m3s(self, pump: str | None) -> float | None:
        """A pump's flow, None where there is no such pump."""
        return None if pump is None else self.profile.pumps[pump].flow_m3s


def clamped_c(value_c: float, lowest_c: float, highest_c: float) -> float:
    """The temperature, or the nearer end of a correlation's range where it lies outside (°C)."""
    return min(max(value_c, lowest_c), highest_c)


def plain(given: Given) -> float:
    """The number itself."""
    return given.value if isinstance(given, Figure) else given[0]


def gauge_m3(tank: Tank | None) -> float | None:
    """Smallest step a person can read on a vessel's gauge, m3; None without a gauge."""
    return tank.vessel.gauge.resolution_m3 if tank is not None and tank.vessel.gauge else None


def thermometer_k(tank: Tank | None) -> float | None:
    """Smallest step a person can read on a vessel's thermometer, K; None without one."""
    return tank.vessel.thermometer.resolution_k if tank is not None and tank.vessel.thermometer else None


def oil_m3_at(basis: Basis, temperature_c: float) -> float:
    """Volume of the batch's oil at a temperature, m3 (15 to 110 °C)."""
    batch, rho_15 = basis.recipe.batch, basis.value("oil_density_15")
    then, now = (density.oil_density_kg_m3(c, rho_15) for c in (batch.measured_at_c, temperature_c))
    return density.volume_at_m3(batch.oil_m3, then, now)
