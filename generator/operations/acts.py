"""What a step written in its own words does to the plant, as data beside the sentence.

``acts`` of a procedure's step is a mapping; each key is one act:

lasts: how long it takes (a figure or ``1 h``) · opens, closes: valves (``spout: role``, ``shutoff: role``)
press, release: the emergency stop · stops: pumps, or all (heaters too)
flows, ends: cooling, nitrogen, fan, vacuum, air_shut
weighs: a mass · pours: a mass at most, into: role · cools: role, to
repeats: mark, times · goes_to: procedures done next · stops_here_if: which procedures were interrupted
puts_right: valves, hoses · secures: the source of what still flows · finds: what a check must find
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from generator import quantities
from generator.operations.maker import Maker
from generator.operations.wording import shutoff_valves, spout_valves

#: Acts whose value is a figure or a quantity, and of which kind.
_MEASURED = {
    "lasts": ("time_s", "time"),
    "weighs": ("weighs_kg", "mass"),
    "pours": ("pours_kg", "mass"),
    "to": ("to_c", "temperature"),
    "times": ("times", "count"),
}
_ROLES = ("into", "cools", "in")


def resolved(maker: Maker, acts: Mapping[str, Any] | None) -> dict[str, Any]:
    """Step data under the key ``acts``: ids of equipment and SI values; empty where a step does nothing."""
    if not acts:
        return {}
    made: dict[str, Any] = {}
    for name, given in acts.items():
        if name in _MEASURED:
            key, kind = _MEASURED[name]
            made[key] = number(maker, given, kind)
        elif name in _ROLES:
            made[name] = maker.vessel(str(given))
        elif name in ("opens", "closes"):
            made[name] = _valves(maker, given)
        elif name == "repeats":
            made[name] = maker.marks[str(given)]
        else:
            made[name] = tuple(given) if isinstance(given, list) else given
    return {"acts": made}


def number(maker: Maker, given: Any, kind: str = "") -> float | None:
    """SI value of a figure by its name, or of a quantity as written; None where there is no such figure."""
    if given is None or isinstance(given, float):
        return given
    figure = maker.figures.get(maker.words.figure_id(*str(given).split(" in ")))
    if figure is not None:
        return figure.value
    text = str(given)
    if not text[:1].isdigit():
        return None
    return float(text) if kind == "count" else quantities.parse(text, kind)


def goal(maker: Maker, given: str | Mapping[str, Any]) -> dict[str, Any]:
    """When a transfer is over: the kind, and the volume (m³) of those that have one.

    holds: the receiver's contents · taken: what it has got · given: what the source has lost · emptied: the
    source is down to its outlet · layer: the line between the source's layers is at its outlet. ``or: layer``
    beside a volume ends it there too.
    """
    if isinstance(given, str):
        return {"kind": given}
    ((kind, volume),) = ((key, value) for key, value in given.items() if key != "or")
    return {"kind": kind, "volume_m3": number(maker, volume, "volume"), "or_layer": "or" in given}


def _valves(maker: Maker, given: Mapping[str, str]) -> tuple[str, ...]:
    ((how, role),) = given.items()
    find = {"spout": spout_valves, "shutoff": shutoff_valves}[how]
    found = find(maker.plant, maker.vessel(role))
    return tuple(found[:1] if how == "spout" else found)
