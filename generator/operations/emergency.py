"""Emergency scenes: sentences of content/hazards/emergency.yaml as steps, with this plant's places."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

import yaml

from generator.operations.acts import resolved
from generator.operations.facts import Facts, holds
from generator.operations.maker import Maker
from generator.operations.wording import mark_label, shutoff_labels, step_words
from generator.plant.plant import Plant
from generator.problems import CONTENT


@cache
def scenes() -> dict[str, dict[str, Any]]:
    """Every scene of content by key."""
    text = (CONTENT / "hazards" / "emergency.yaml").read_text(encoding="utf-8")
    loaded: dict[str, dict[str, Any]] = yaml.safe_load(text)["scenes"]
    return loaded


@cache
def _spill_limits() -> dict[str, dict[str, dict[str, str]]]:
    text = (CONTENT / "hazards" / "emergency.yaml").read_text(encoding="utf-8")
    limits: dict[str, dict[str, dict[str, str]]] = yaml.safe_load(text)["spill_limits"]
    return limits


def scenes_for(known: Facts) -> dict[str, dict[str, Any]]:
    """The scenes of a plant with these facts, each with the steps that it can do."""
    return {
        key: {
            **scene,
            "do_now": _doable(scene["do_now"], known),
            **({"then": _doable(scene["then"], known)} if "then" in scene else {}),
            **({"why": _doable(scene["why"], known)} if "why" in scene else {}),
        }
        for key, scene in scenes().items()
        if holds(scene["when"], known)
    }


def _doable(steps: Iterable[Any], known: Facts) -> list[Any]:
    """Steps whose ``when`` holds, in the plain form: a sentence, or a condition and what to do."""
    kept = _kept(steps, known)
    return [step["say"] if isinstance(step, dict) and "say" in step else step for step in kept]


def _kept(steps: Iterable[Any], known: Facts) -> list[Any]:
    return [step for step in steps if isinstance(step, str) or holds(step.get("when"), known)]


def places(plant: Plant) -> dict[str, str]:
    """What the sentences may name: who to call, where things are, the valve that shuts the methoxide in."""
    site, safety = plant.profile.site, plant.profile.safety
    kinds = step_words()["extinguishers"]
    ours = "outdoors" if site.placement == "outdoors" else "indoors"  # under a roof vapour gathers
    extinguishers = "; ".join(f"{e.place} ({kinds[e.kind]})" for e in safety.extinguishers)
    return {
        **{name: limit[ours][plant.profile.units] for name, limit in _spill_limits().items()},
        "emergency_number": site.contacts.emergency_number,
        "poison_centre": site.contacts.poison_centre,
        "muster_point": site.contacts.muster_point,
        "site_address": site.address,
        "isolator_place": safety.isolator_place,
        "eyewash_place": safety.eyewash_place,
        "shower_place": safety.shower_place or "",
        "extinguisher_places": extinguishers,
        "methoxide_valve": " ".join(mark_label(label) for label in shutoff_labels(plant, "methoxide")),
    }


def scene(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """All steps of one scene: what to do at once, then what follows."""
    names, said = places(maker.plant), scenes()[given]
    first = dict(options)
    for step in _kept((*said["do_now"], *said.get("then", ())), maker.known):
        acts = resolved(maker, step.get("acts") if isinstance(step, dict) else None)
        maker.add("emergency", {"sentence": sentence(step, names), **acts}, **first)
        first.pop("messages", None)  # a warning stands before the first step only


def sentence(step: str | Mapping[str, str], names: Mapping[str, str]) -> str:
    """One sentence with places filled in; a condition comes first."""
    if isinstance(step, str):
        return step.format_map(names)
    if "say" in step:
        return step["say"].format_map(names)
    condition = step_words()["if_then"]["text"]
    return condition.format(condition=step["if"], action=step["then"]).format_map(names)
