"""The hazard content as loaded data, and ways to walk it; shared by the tests of this folder."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parent.parent.parent
HAZARDS = ROOT / "content" / "hazards"
PAGES = [ROOT / "content" / "pages" / name for name in ("limits-of-this-handbook.md", "notice.md")]

SHEETS = {
    "methanol", "methoxide", "koh", "naoh", "hot_oil", "glycerin_with_methanol", "unfinished_ester",
    "finished_ester", "wash_water", "isopropanol_indicator", "oily_rags", "vapour_and_electricity",
    "nitrogen", "sulfuric_acid",
}
SHEET_KEYS = {
    "title", "short", "when", "signal", "signal_why", "ghs", "hurts", "ppe", "storage", "never", "spill",
    "fire", "first_aid", "sources", "check_before_use",
}
PLACES = {
    "emergency_number", "poison_centre", "muster_point", "site_address", "isolator_place", "eyewash_place",
    "shower_place", "extinguisher_places", "methoxide_valve", "spill_limit",
}
SPILL_LIMITS = {"spill_limit", "spill_limit_oily", "spill_limit_acid", "spill_limit_alcohol"}
LONGEST_STEP_WORDS, MOST_CARD_STEPS = 20, 6
METHANOL_BEARING = ("methanol", "methoxide", "glycerin_with_methanol", "unfinished_ester", "wash_water")


def load(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.safe_load((HAZARDS / f"{name}.yaml").read_text(encoding="utf-8"))
    return loaded


SOURCES, STATEMENTS, SUBSTANCES, PPE = load("sources"), load("statements"), load("substances"), load("ppe")
MESSAGES, EMERGENCY, INCOMPATIBLE = load("messages"), load("emergency"), load("incompatible")
SIGNS, FACTS = load("signs"), load("facts")


def texts(node: Any, path: str) -> Iterator[tuple[str, str]]:
    """Every string of a tree with the path that leads to it."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from texts(value, f"{path}.{key}")
    elif isinstance(node, list):
        for at, value in enumerate(node):
            yield from texts(value, f"{path}[{at}]")
    elif isinstance(node, str):
        yield path, node


def all_texts() -> Iterator[tuple[str, str]]:
    for name in ("substances", "ppe", "messages", "emergency", "incompatible"):
        yield from texts(load(name), name)
    for page in PAGES:
        yield page.name, page.read_text(encoding="utf-8")


def keyed(node: Any, key: str) -> Iterator[str]:
    """Every value that stands under `key`, wherever in the tree."""
    if isinstance(node, dict):
        for name, value in node.items():
            if name == key and isinstance(value, str):
                yield value
            yield from keyed(value, key)
    elif isinstance(node, list):
        for value in node:
            yield from keyed(value, key)


def steps(scene: dict[str, Any]) -> list[str | dict[str, str]]:
    return [*scene["do_now"], *scene.get("then", [])]


def said(step: str | dict[str, str]) -> str:
    if isinstance(step, str):
        return step
    return step["say"] if "say" in step else f"IF {step['if']}, THEN {step['then']}"
