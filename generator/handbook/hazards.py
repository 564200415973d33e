"""Hazard sheets, messages and emergency scenes of content/hazards, chosen by the facts of a plant."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

import yaml

from generator.handbook.marks import clean
from generator.operations.facts import Facts, holds
from generator.problems import CONTENT
from generator.profile.model import Profile


@cache
def _read(name: str) -> dict[str, Any]:
    text = (CONTENT / "hazards" / f"{name}.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def messages() -> dict[str, Any]:
    """Safety messages by key."""
    return _read("messages")


def sheet(name: str) -> dict[str, Any]:
    """One file of content/hazards, by its name without suffix."""
    return _read(name)


def applicable(name: str, known: Facts) -> dict[str, Any]:
    """Those entries of a file whose ``when`` holds."""
    return {key: entry for key, entry in _read(name).items() if holds(entry.get("when"), known)}


def scenes(known: Facts) -> dict[str, Any]:
    """Emergency scenes that can happen at this plant, in the file's order."""
    return {
        key: scene for key, scene in _read("emergency")["scenes"].items() if holds(scene.get("when"), known)
    }


def places(profile: Profile, extinguisher: Mapping[str, str]) -> dict[str, str]:
    """What fills the braces of the emergency pages; ``extinguisher`` words each kind."""
    site, safety = profile.site, profile.safety
    contacts = site.contacts
    given = {
        "emergency_number": contacts.emergency_number,
        "poison_centre": contacts.poison_centre,
        "muster_point": contacts.muster_point,
        "site_address": site.address,
        "isolator_place": safety.isolator_place,
        "eyewash_place": safety.eyewash_place,
        "shower_place": safety.shower_place or safety.eyewash_place,
        "extinguisher_places": "; ".join(f"{e.place} ({extinguisher[e.kind]})" for e in safety.extinguishers),
    }
    return {key: clean(text) for key, text in given.items()}


def filled(sentence: str, known: Mapping[str, str]) -> str:
    """A sentence of emergency.yaml with its braces filled once; what fills them is not read again."""
    return sentence.format_map(known)


def wear(keys: Iterable[str]) -> list[str]:
    """What to put on, each once: keys are jobs or items of ppe.yaml."""
    data = _read("ppe")
    items = [item for key in keys for item in data["jobs"].get(key, {"wear": [key]})["wear"]]
    return [str(data["items"][item]["words"]) for item in dict.fromkeys(items)]
