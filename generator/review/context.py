"""What every rule is given: the profile with its places, the plant, the figures, the line-ups."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from generator import quantities
from generator.figures.record import FigureBook
from generator.plant.lineup import LineUp, Want
from generator.plant.network import Network
from generator.plant.plant import Plant, Tank
from generator.problems import Problem
from generator.profile.load import Loaded
from generator.profile.model import Profile
from generator.profile.vessels import Heater
from generator.review.finding import Finding, Severity

Trail = tuple[str | int, ...]

#: Roles of vessels that hold methanol neat, or liquid that gives off as much vapour as methanol does.
#: Rules ask the context, which knows the recipe.
FLAMMABLE_ROLES: Final = frozenset(
    {"react", "settle", "strip", "wash", "methoxide", "methanol", "glycerin", "recovered_methanol"}
    | {"acid_waste"}
)
#: Roles of all vessels in whose headspace there may be methanol.
METHANOL_ROLES: Final = FLAMMABLE_ROLES | {"fuel", "waste_water"}


@dataclass(frozen=True)
class Context:
    """A plant under review.

    ``refused`` are transfers that procedures ask for and no line-up serves, with the reason; ``lacking`` are
    figures that they ask for and that could not be computed.
    """

    loaded: Loaded
    plant: Plant
    figures: FigureBook
    line_ups: tuple[LineUp, ...]
    refused: tuple[tuple[Want, Problem], ...] = ()
    lacking: tuple[str, ...] = ()

    @property
    def profile(self) -> Profile:
        return self.loaded.profile

    @cached_property
    def flammable_roles(self) -> frozenset[str]:
        """Roles of the vessels that hold methanol neat or liquid as flammable; oil is, after an acid step."""
        return FLAMMABLE_ROLES | ({"dry"} if self.profile.recipe.acid_step else set())

    @cached_property
    def methanol_roles(self) -> frozenset[str]:
        """Roles of all vessels in whose headspace there may be methanol."""
        return METHANOL_ROLES | self.flammable_roles

    @cached_property
    def network(self) -> Network:
        return Network.of(self.profile)

    def value(self, figure_id: str) -> float | None:
        """SI value of a figure; None where this plant has no such figure."""
        figure = self.figures.get(figure_id)
        return None if figure is None else figure.value

    def show(self, value: float, quantity: str, rounding: str = "target") -> str:
        """A value as printed, in the plant's units."""
        return quantities.show(value, quantity, units=self.profile.units, rounding=rounding).text

    def stated(self, value: float, quantity: str) -> str:
        """A value of the profile, not rounded, so that it never looks like the limit it breaks.

        Rounded up where the plant's unit makes a long number of it (80 L/h is 1.333… L/min).
        """
        units = self.profile.units
        shown = quantities.show(value, quantity, units=units, rounding="exact")
        read_back = quantities.parse(shown.first.text, quantity, units=units)
        return shown.text if math.isclose(read_back, value) else self.least(value, quantity)

    def most(self, value: float, quantity: str) -> str:
        """A limit from above, rounded down."""
        return self.show(value, quantity, "maximum")

    def least(self, value: float, quantity: str) -> str:
        """A need, rounded up."""
        return self.show(value, quantity, "minimum")

    def name(self, part: str) -> str:
        """A part as a finding calls it."""
        return self.plant.called(part)

    def holding(self, roles: Iterable[str]) -> Iterator[Tank]:
        """Vessels with any of these roles, in the profile's order."""
        wanted = set(roles)
        return (tank for tank in self.plant.tanks.values() if wanted & set(tank.vessel.roles))

    def heaters(self) -> Iterator[tuple[Tank, str, Heater]]:
        """Every heater with its vessel and its own key."""
        for tank in self.plant.tanks.values():
            for key, heater in tank.vessel.heaters.items():
                yield tank, key, heater

    def finding(
        self, rule: str, severity: Severity, at: Trail, equipment: Iterable[str] = (), **facts: Any
    ) -> Finding:
        """A finding placed at the profile's ``at``, or at the nearest thing above it."""
        place, law = self.loaded.place(*at), self.profile.site.jurisdiction
        return Finding(rule, severity, place, tuple(equipment), facts, law)


Rule = Callable[[Context], Iterable[Finding]]


def is_electric(kind: str, power_w: float | None) -> bool:
    """Whether a pump has a motor: a diaphragm pump without a stated power is driven by air."""
    return kind in ("centrifugal", "gear") or (kind == "diaphragm" and power_w is not None)


def clamped(value: float, low: float, high: float) -> float:
    """The value, or the nearer end of the range that a formula holds for."""
    return min(max(value, low), high)
