"""Customary and recalled numbers as figures of their own, so that each can be checked and overridden.

Every one is named by its key in the profile's ``own_values``; where the plant states its own, that is used
and shown as such.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from generator.chemistry import (
    balance,
    density,
    elements,
    limits,
    methoxide,
    mixing,
    outcome,
    route,
    shell_loss,
    ventilation,
)
from generator.profile.model import Profile
from generator.profile.recipe import WaterWash
from generator.profile.vessels import Vessel

#: Between these a bare wall's loss is worked out, °C: a batch that reacts, and the end of the formula.
LEAST_WARM_C: Final = 55.0
MOST_WARM_C: Final = 120.0

#: Quantity and customary value (inside unit) of every key of ``own_values``. What has no constant of its own
#: beside a formula is common practice, no source.
CUSTOMARY: Final[Mapping[str, tuple[str, float]]] = {
    "oil_density_15": ("density", density.OIL_DENSITY_15_KG_M3),
    "conversion": ("fraction", balance.CONVERSION),
    "methanol_share_in_ester": ("fraction", balance.METHANOL_SHARE_IN_ESTER),
    "least_loss": ("fraction", outcome.LEAST_LOSS_FRACTION),
    "most_loss": ("fraction", outcome.MOST_LOSS_FRACTION),
    "element_cover": ("length", elements.ELEMENT_COVER_M),
    "high_limit_margin": ("temperature_difference", limits.HIGH_LIMIT_MARGIN_K),
    "dry_limit_rise": ("temperature_difference", 10.0),
    "portion_share": ("fraction", methoxide.PORTION_SHARE),
    "dissolving_most": ("temperature", methoxide.DISSOLVING_MOST_C),
    "injection_share": ("fraction", mixing.INJECTION_FLOW_SHARE),
    "injection_least": ("time", mixing.INJECTION_LEAST_S),
    "again_methanol_share": ("fraction", 0.08),
    "again_base_share": ("fraction", 0.15),
    "ffa_single": ("mass_fraction", route.LIMITS.ffa_single),
    "ffa_direct_base": ("mass_fraction", route.LIMITS.ffa_direct_base),
    "ffa_base": ("mass_fraction", route.LIMITS.ffa_base),
    "water_dry": ("mass_fraction", route.LIMITS.water_dry),
    "air_release": ("mass_flow", 0.1 / 3600.0),
    "fire_mixing": ("ratio", ventilation.FIRE_MIXING_FACTOR),
    "people_mixing": ("ratio", ventilation.PEOPLE_MIXING_FACTOR),
    "spill": ("volume", 1e-3),
    "rain": ("length", 0.115),
    "bed_volumes": ("rate_per_hour", 3.0),
    "fuel_acid_value": ("ratio", 0.25),
    "wash_distribution": ("ratio", 10.0),
    "wash_rest": ("time", 3600.0),
    "condenser_rise": ("temperature_difference", 10.0),
    "pump_liquid": ("volume", 2e-3),
    "suction_loss": ("length", 0.3),
    "layer_difference": ("density", 200.0),
}


def value(profile: Profile, key: str) -> float:
    """The plant's own value of a key of ``own_values``, else the customary one (inside unit)."""
    own = getattr(profile.own_values, key)
    return CUSTOMARY[key][1] if own is None else float(own)


def loss_key(insulated: bool) -> str:
    """Which of the two loss coefficients a vessel has."""
    return "loss_insulated" if insulated else "loss_bare"


def loss_w_m2k(profile: Profile, vessel: Vessel) -> float:
    """Loss coefficient of a vessel's shell while it is heated, W/m2K: the plant's own, else the most."""
    own = getattr(profile.own_values, loss_key(vessel.insulated))
    if own is not None:
        return float(own)
    place: shell_loss.Site = "exposed" if profile.site.placement == "outdoors" else "sheltered"
    if vessel.insulated:
        return shell_loss.shell_loss_w_m2k(place, "insulated")
    return shell_loss.bare_loss_most_w_m2k(place, finish(vessel), hottest_c(profile, vessel))


def finish(vessel: Vessel) -> shell_loss.Finish:
    """Of what the outside of a bare vessel is, as far as its radiation goes."""
    if vessel.material == "stainless":
        return "stainless"
    return "metal" if vessel.material in ("galvanised", "aluminium", "copper", "brass") else "other"


def hottest_c(profile: Profile, vessel: Vessel) -> float:
    """Hottest set point of a vessel's roles as the recipe states it, °C; at least ``LEAST_WARM_C``."""
    recipe = profile.recipe
    points = {"dry": recipe.drying.set_point_c, "react": recipe.reaction.set_point_c}
    if recipe.stripping is not None:
        points["strip"] = recipe.stripping.set_point_c
    if isinstance(recipe.washing, WaterWash):
        points["wash"] = recipe.washing.dry_set_point_c
    found = [points[role] for role in vessel.roles if role in points]
    return min(max([*found, LEAST_WARM_C]), MOST_WARM_C)
