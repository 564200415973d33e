"""Taking liquid out of a vessel at a height, and putting it into one."""

from __future__ import annotations

from generator.plant.plant import Tank
from generator.rehearsal.mix import Mix, Nature, layered, reacted
from generator.rehearsal.state import Contents

#: Warmth of an empty vessel's steel counts for nothing; below this heat capacity a vessel is empty, J/K.
NO_HEAT_J_K = 1e-6


def drawn(contents: Contents, tank: Tank, mouth_m: float, volume_m3: float) -> tuple[Contents, Mix]:
    """What leaves through a mouth (m above the vessel's lowest point): the lowest layer that stands over it.

    Takes at most ``volume_m3``, and never what lies below the mouth; what lies above comes down.
    """
    heel_m3 = tank.shape.volume_at(min(mouth_m, tank.shape.inside_height_m))
    layers, temperature_c = list(contents.layers), contents.temperature_c
    out, below_m3 = Mix(), 0.0
    for index, layer in enumerate(layers):
        if volume_m3 <= 0.0:
            break
        holds_m3 = layer.volume_m3(temperature_c)
        free_m3 = min(holds_m3, below_m3 + holds_m3 - heel_m3)
        if free_m3 > 0.0:
            share = min(1.0, min(volume_m3, free_m3) / holds_m3)
            part = layer.share(share)
            out += part
            layers[index] = layer - part if share < 1.0 else Mix()
            volume_m3 -= holds_m3 * share
            holds_m3 *= 1.0 - share
        below_m3 += holds_m3
    kept = tuple(layer for layer in layers if layer.total_kg > 0.0)
    return Contents(kept or (Mix(),), temperature_c), out


def added(contents: Contents, mix: Mix, temperature_c: float, nature: Nature) -> Contents:
    """A vessel after something was poured or pumped in: stirred by it, and reacted where it can react."""
    here_j_k = contents.mix.heat_capacity_j_k(contents.temperature_c)
    there_j_k = mix.heat_capacity_j_k(temperature_c)
    if here_j_k + there_j_k <= NO_HEAT_J_K:
        return contents
    warm = (here_j_k * contents.temperature_c + there_j_k * temperature_c) / (here_j_k + there_j_k)
    return Contents((reacted(contents.mix + mix, nature),), warm)


def stirred(contents: Contents, nature: Nature) -> Contents:
    """All layers mixed, and reacted where they can react."""
    return Contents((reacted(contents.mix, nature),), contents.temperature_c)


def rested(contents: Contents, nature: Nature) -> Contents:
    """The layers that what a vessel holds parts into."""
    return Contents(layered(contents.mix, nature), contents.temperature_c)
