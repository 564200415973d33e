"""Which way an oil goes: one base stage, two, acid first, dried first, or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from generator.chemistry.ranges import fractions, within

Route = Literal["single_stage", "two_stage_base", "acid_first", "reject"]
Step = Literal["dry_first", "single_stage", "two_stage_base", "acid_first", "reject"]
ThresholdName = Literal["ffa_single", "ffa_direct_base", "ffa_base", "ffa_most", "water_dry"]


@dataclass(frozen=True)
class Threshold:
    """One limit, the value held against it, whether the value lies above it, and where the limit is from."""

    name: ThresholdName
    limit: float
    value: float
    above: bool
    source: str


@dataclass(frozen=True)
class RouteLimits:
    """Limits of free fatty acid and water, mass fractions; a plant may state its own."""

    ffa_single: float = 0.01
    ffa_direct_base: float = 0.03
    ffa_base: float = 0.05
    ffa_most: float = 0.15
    water_dry: float = 0.001

    def __post_init__(self) -> None:
        within("ffa_single", self.ffa_single, 0.0, self.ffa_direct_base)
        within("ffa_direct_base", self.ffa_direct_base, 0.0, self.ffa_base)
        within("ffa_base", self.ffa_base, 0.0, self.ffa_most)
        within("ffa_most", self.ffa_most, 0.0, 0.15)
        within("water_dry", self.water_dry, 0.0, 0.002)


LIMITS: Final = RouteLimits()
#: Best case of a single stage (published: Ma, Clements and Hanna, Trans. ASAE 41(5) (1998), tallow).
BEST_FFA: Final = 0.005
BEST_WATER_FRACTION: Final = 0.0006

_SOURCE: Final[dict[ThresholdName, str]] = {
    "ffa_single": "published: Canakci and Van Gerpen, Trans. ASAE 44(6) (2001), target of pretreatment",
    "ffa_direct_base": "published: Kombe et al., Adv. Chem. Eng. Sci. 3(4) (2013)",
    "ffa_base": "from memory: Van Gerpen, Fuel Process. Technol. 86 (2005)",
    "ffa_most": "common practice, no source: where the dose formulas end",
    "water_dry": "common practice, no source",
}


@dataclass(frozen=True)
class RouteChoice:
    """The route and what else would do; the acid limit it lies over and the next one it lies under.

    ``over`` is None for the cleanest oils, ``under`` for oils that are rejected.
    """

    route: Route
    also: tuple[Route, ...]
    over: Threshold | None
    under: Threshold | None
    by_water: Threshold
    best_case: bool

    @property
    def dry_first(self) -> bool:
        """Whether water decides that the oil is dried before anything else."""
        return self.by_water.above

    @property
    def steps(self) -> tuple[Step, ...]:
        """What is done, in order; an oil that is rejected is not dried either."""
        if self.route == "reject":
            return ("reject",)
        then: tuple[Step, ...] = (
            ("acid_first", "single_stage") if self.route == "acid_first" else (self.route,)
        )
        return ("dry_first", *then) if self.dry_first else then


def route_choice(ffa: float, water_fraction: float, acid_step: bool, limits: RouteLimits) -> RouteChoice:
    """Route for an oil by its free fatty acid and water, with the thresholds that decided.

    Equation: table; FFA to 1 % single stage, to 3 % single stage or two-stage base, to 5 % two-stage base or
    acid first, to 15 % acid first, above that rejected; a plant without an acid step rejects above 5 %. Water
    above the limit: dried first, whichever route follows. A value on a limit counts as not above it.
    Args:
        ffa: free fatty acid as oleic [kg/kg], 0 to 1.
        water_fraction: water in the oil [kg/kg], 0 to 1.
        acid_step: whether the plant can run an acid pretreatment [true or false].
        limits: the limits used [kg/kg, in the field names].
    Returns: route, alternatives and thresholds [kg/kg, in the field names].
    Source: published; Ma et al. 1998, Canakci and Van Gerpen 2001, Kombe et al. 2013; the limits of 5 %
        and of water are from memory and common practice, as each threshold says.
    """
    fractions(ffa=ffa, water_fraction=water_fraction)
    ladder: list[tuple[ThresholdName, float, Route, tuple[Route, ...]]] = [
        ("ffa_single", limits.ffa_single, "single_stage", ()),
        ("ffa_direct_base", limits.ffa_direct_base, "single_stage", ("two_stage_base",)),
        ("ffa_base", limits.ffa_base, "two_stage_base", ("acid_first",) if acid_step else ()),
    ]
    if acid_step:
        ladder.append(("ffa_most", limits.ffa_most, "acid_first", ()))
    water = _threshold("water_dry", limits.water_dry, water_fraction)
    best = ffa < BEST_FFA and water_fraction <= BEST_WATER_FRACTION
    over: Threshold | None = None
    for name, limit, route, also in ladder:
        here = _threshold(name, limit, ffa)
        if not here.above:
            return RouteChoice(route, also, over, here, water, best)
        over = here
    return RouteChoice("reject", (), over, None, water, best)


def _threshold(name: ThresholdName, limit: float, value: float) -> Threshold:
    return Threshold(name, limit, value, value > limit, _SOURCE[name])
