"""A plant with every vessel holding what it usually holds, to ask where liquid would go."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from generator.rehearsal.liquids import rested
from generator.rehearsal.mix import Mix
from generator.rehearsal.model import Model
from generator.rehearsal.state import Contents, State

#: Parts by mass of what stands in a vessel of a role (derived: a batch of 22 % methanol, rounded).
USUAL: Final[Mapping[str, Mix]] = {
    "oil_supply": Mix.of(oil=1.0),
    "dry": Mix.of(oil=1.0),
    "react": Mix.of(ester=0.80, glycerol=0.09, methanol=0.10, lye=0.01),
    "settle": Mix.of(ester=0.80, glycerol=0.09, methanol=0.10, lye=0.01),
    "strip": Mix.of(ester=0.97, methanol=0.03),
    "wash": Mix.of(ester=0.97, methanol=0.03),
    "fuel": Mix.of(ester=1.0),
    "glycerin": Mix.of(glycerol=0.65, methanol=0.30, lye=0.05),
    "methanol": Mix.of(methanol=1.0),
    "methoxide": Mix.of(methanol=0.93, lye=0.07),
    "recovered_methanol": Mix.of(methanol=1.0),
    "waste_water": Mix.of(water=0.97, methanol=0.03),
    "acid_waste": Mix.of(methanol=0.8, acid=0.1, water=0.1),
}
#: How full, as share of what each may hold: high enough to run out of any side port.
FULL: Final = 0.9


def filled(model: Model) -> State:
    """At rest, each vessel with the liquid of its last role, since a batch ends there."""
    state = model.start()
    contents = {}
    for vessel, tank in model.plant.tanks.items():
        parts = USUAL[tank.vessel.roles[-1]]
        volume = FULL * model.limits_m3[vessel]
        mix = parts.share(volume / parts.volume_m3(model.ambient_c))
        contents[vessel] = rested(Contents((mix,), model.ambient_c), model.nature)
    return replace(state, contents=contents)
