"""Emergency scenes: sentences of content/hazards/emergency.yaml as steps, with this plant's places."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

import yaml

from generator.operations.maker import Maker
from generator.operations.wording import step_words
from generator.plant.plant import Plant
from generator.problems import CONTENT


@cache
def scenes() -> dict[str, dict[str, Any]]:
    """Every scene of content by key."""
    text = (CONTENT / "hazards" / "emergency.yaml").read_text(encoding="utf-8")
    loaded: dict[str, dict[str, Any]] = yaml.safe_load(text)["scenes"]
    return loaded


def places(plant: Plant) -> dict[str, str]:
    """What the sentences may name: who to call and where things are."""
    site, safety = plant.profile.site, plant.profile.safety
    kinds = step_words()["extinguishers"]
    extinguishers = "; ".join(f"{e.place} ({kinds[e.kind]})" for e in safety.extinguishers)
    return {
        "emergency_number": site.contacts.emergency_number,
        "poison_centre": site.contacts.poison_centre,
        "muster_point": site.contacts.muster_point,
        "site_address": site.address,
        "isolator_place": safety.isolator_place,
        "eyewash_place": safety.eyewash_place,
        "shower_place": safety.shower_place or safety.eyewash_place,
        "extinguisher_places": extinguishers,
    }


def scene(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """All steps of one scene: what to do at once, then what follows."""
    names = places(maker.plant)
    for step in (*scenes()[given]["do_now"], *scenes()[given].get("then", ())):
        maker.add("emergency", {"sentence": sentence(step, names)}, **options)


def sentence(step: str | Mapping[str, str], names: Mapping[str, str]) -> str:
    """One sentence with places filled in; a condition comes first."""
    if isinstance(step, str):
        return step.format_map(names)
    condition = step_words()["if_then"]["text"]
    return condition.format(condition=step["if"], action=step["then"]).format_map(names)
