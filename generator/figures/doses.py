"""What a dose after the first has of its own: how far it warms, how long it goes in and at what flow."""

from __future__ import annotations

from generator.chemistry import density, headspace
from generator.figures.basis import Basis
from generator.figures.methanol import add_rise
from generator.figures.temperatures import add_injection_of

#: Each dose by the name that procedures call it, with the figures of its flake and its methanol.
DOSES = {
    "extra_dose": ("again_catalyst", "again_methanol"),
    "second_dose": ("second_catalyst_highest", "second_methanol"),
}


def add(basis: Basis) -> None:
    """The planned second dose, where the recipe has one, and the one after a failed conversion."""
    measured_c = basis.recipe.methanol.measured_at_c
    for dose, (flake_id, methanol_id) in DOSES.items():
        flake, methanol = basis.book.get(flake_id), basis.book.get(methanol_id)
        if flake is None or methanol is None:
            continue
        methanol_kg = methanol.value * density.methanol_density_kg_m3(measured_c)
        add_rise(basis, flake, (methanol_kg, "mass"), dose)
        room_m3 = headspace.methoxide_volume_m3(methanol_kg, flake.value, measured_c)
        add_injection_of(basis, (room_m3, "volume"), dose)
