"""Does everything that the profile names exist, and is each thing used once? Checked over the valid parts.

Each check yields ``(code, path, facts)``; ``check`` gives them their places. What refers to an entry that has
errors of its own is passed over, so that one bad field does not breed a second message.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterator
from typing import Any, get_args

from generator.problems import Place, Problem
from generator.profile.model import Profile
from generator.profile.nodes import Tree, dotted
from generator.profile.piping import Valve
from generator.profile.vessels import Role

Found = tuple[str, tuple[str | int, ...], dict[str, Any]]

OPEN = "open"
NEEDED_ROLES = ("oil_supply", "dry", "react", "settle", "methoxide", "methanol", "glycerin", "fuel")
THROUGH = ("in", "out")
#: Codes of references to something that is not there; their fact ``text`` is the name.
NAMES = frozenset(
    {"no_such_end", "no_such_valve", "no_such_vessel", "no_such_load", "no_such_condenser", "no_such_line"}
)
ROLE_WORDS = frozenset({*get_args(Role), "ester", "fuel_now"})


def check(profile: Profile, tree: Tree, broken: frozenset[str]) -> list[Problem]:
    """Problems of reference in ``profile``; ``broken`` are ids left out because of errors of their own."""
    ends = _ends(profile)
    found = [
        *_line_ends(profile, ends, broken),
        *_valves_in_lines(profile, broken),
        *_ports_once(profile, ends, broken),
        *_roles(profile, broken),
        *_ids_are_no_roles(profile),
        *_names_of_vessels(profile, broken),
        *_pinned_lines(profile, broken),
        *_accepted(profile, broken),
        *_emergency_stop(profile, broken),
        *_drawn_places(profile, broken),
        *_washing(profile, broken),
        *_titrant(profile),
        *_three_way_ports(profile),
        *_labels(profile),
        *_heaters_are_read(profile),
    ]
    return [_told(tree, code, path, facts) for code, path, facts in found]


def _told(tree: Tree, code: str, path: tuple[str | int, ...], facts: dict[str, Any]) -> Problem:
    """The problem at its place; of a part that a file built on another took out, both places are told."""
    removed = _removed(tree, str(facts.get("text", ""))) if code in NAMES else None
    if removed is None:
        return Problem(code, tree.place(path), facts)
    facts = {**facts, "where": dotted(path[:2])}
    return Problem("named_but_removed", tree.place(path), facts, (removed,))


def _removed(tree: Tree, text: str) -> Place | None:
    """Where the part that a reference names was taken out."""
    owner, _, inner = text.partition(".")
    for trail, place in tree.removed.items():
        if trail[1:] == (owner,) or (len(trail) == 4 and (trail[1], trail[3]) == (owner, inner)):
            return place
    return None


def _ends(profile: Profile) -> set[str]:
    """Every end that a line may name."""
    ends = {OPEN, *profile.tees, *profile.supplies}
    for vessel_id, vessel in profile.vessels.items():
        ends.update(f"{vessel_id}.{port}" for port in vessel.ports)
    for section in (profile.pumps, profile.inline):
        ends.update(f"{part}.{side}" for part in section for side in THROUGH)
    for valve_id, valve in profile.valves.items():
        ports = {port for joined in (valve.positions or {}).values() for port in joined}
        ends.update(f"{valve_id}.{port}" for port in ports)
    return ends


def _named_ends(profile: Profile) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    for line_id, line in profile.lines.items():
        yield line.from_, ("lines", line_id, "from")
        yield line.to, ("lines", line_id, "to")
    for hose_id, hose in profile.hoses.items():
        yield hose.fixed, ("hoses", hose_id, "fixed")
        for index, end in enumerate(hose.ends):
            yield end, ("hoses", hose_id, "ends", index)


def _line_ends(profile: Profile, ends: set[str], broken: frozenset[str]) -> Iterator[Found]:
    for end, path in _named_ends(profile):
        owner, _, port = end.partition(".")
        if end in ends or owner in broken:
            continue
        valve = profile.valves.get(owner)
        if valve is not None and valve.positions and port:
            yield "no_such_valve_port", ("valves", owner, "positions"), _port_facts(valve, port, path)
        else:
            yield "no_such_end", path, {"text": end, "near": _near(end, ends)}
    for hose_id, hose in profile.hoses.items():
        if hose.normal is not None and hose.normal not in hose.ends:
            yield "hose_normal", ("hoses", hose_id, "normal"), {"text": hose.normal}
    for line_id, line in profile.lines.items():
        if line.from_ == line.to:
            yield "line_to_itself", ("lines", line_id), {"id": line_id}


def _port_facts(valve: Valve, port: str, path: tuple[str | int, ...]) -> dict[str, Any]:
    positions = valve.positions or {}
    return {
        "label": valve.label,
        "port": port,
        "user": dotted(path),
        "position": min(positions, key=lambda name: len(positions[name])),
        "near": ", ".join(sorted({other for ports in positions.values() for other in ports})),
    }


def _valves_in_lines(profile: Profile, broken: frozenset[str]) -> Iterator[Found]:
    seen: dict[str, str] = {}
    for section, parts in (("lines", profile.lines), ("hoses", profile.hoses)):
        for part_id, part in parts.items():
            for index, valve in enumerate(part.valves):
                path = (section, part_id, "valves", index)
                known = profile.valves.get(valve)
                if known is None:
                    if valve not in broken:
                        yield "no_such_valve", path, {"text": valve, "near": _near(valve, profile.valves)}
                elif known.kind == "three_way":
                    yield "three_way_in_line", path, {"text": valve}
                elif valve in seen:
                    yield "valve_twice", path, {"text": valve, "other": seen[valve]}
                seen.setdefault(valve, part_id)
    for valve_id, valve_part in profile.valves.items():
        if valve_part.kind != "three_way" and valve_id not in seen and not broken:
            yield "valve_nowhere", ("valves", valve_id), {"id": valve_id, "label": valve_part.label}


def _ports_once(profile: Profile, ends: set[str], broken: frozenset[str]) -> Iterator[Found]:
    """Two lines at one vessel port or pump flange need a tee; a hose may be moved to a shared port."""
    single = ends - {OPEN, *profile.tees}
    once = Counter(
        end for end, path in _named_ends(profile) if path[-1] in ("from", "to", "fixed") and end in single
    )
    for end, path in _named_ends(profile):
        if path[-1] in ("from", "to", "fixed") and once[end] > 1:
            yield "port_taken", path, {"text": end}
    used = {end for end, _ in _named_ends(profile)}
    for section, parts in (("pumps", profile.pumps), ("inline", profile.inline)):
        for part_id in parts:
            for side in THROUGH:
                if f"{part_id}.{side}" not in used and not broken:
                    yield "not_connected", (section, part_id), {"text": f"{part_id}.{side}"}


def _roles(profile: Profile, broken: frozenset[str]) -> Iterator[Found]:
    holders: dict[str, list[str]] = {}
    for vessel_id, vessel in profile.vessels.items():
        for played in vessel.roles:
            holders.setdefault(played, []).append(vessel_id)
    for role, ids in holders.items():
        if len(ids) > 1:
            yield "role_twice", ("vessels", ids[1], "roles"), {"role": role, "other": ids[0]}
    for needed in NEEDED_ROLES:
        if needed not in holders and not broken:
            yield "role_missing", ("vessels",), {"role": needed}
    if profile.recipe.stripping and "strip" not in holders and not broken:
        yield "role_missing", ("vessels",), {"role": "strip"}
    if profile.recipe.acid_step and not broken:
        yield from _acid_step(holders)
    if profile.recipe.stripping and profile.recipe.stripping.vacuum and not broken:
        yield from _vacuum(profile, holders)


def _ids_are_no_roles(profile: Profile) -> Iterator[Found]:
    """Procedures name vessels by role or id: an id that is another vessel's role names the wrong one."""
    for vessel_id, vessel in profile.vessels.items():
        if vessel_id in ROLE_WORDS and vessel_id not in vessel.roles:
            yield "id_is_a_role", ("vessels", vessel_id), {"id": vessel_id}


def _vacuum(profile: Profile, holders: dict[str, list[str]]) -> Iterator[Found]:
    for vessel_id in holders.get("strip", [])[:1]:
        condenser = profile.condensers.get(profile.vessels[vessel_id].vent.condenser or "")
        if condenser is None or condenser.vacuum is None:
            yield "no_vacuum_pump", ("recipe", "stripping", "vacuum"), {"vessel": vessel_id}


def _acid_step(holders: dict[str, list[str]]) -> Iterator[Found]:
    if "acid_waste" not in holders:
        yield "role_missing", ("vessels",), {"role": "acid_waste"}
    if holders.get("dry") == holders.get("react"):
        yield "acid_step_one_vessel", ("recipe", "acid_step"), {}


def _names_of_vessels(profile: Profile, broken: frozenset[str]) -> Iterator[Found]:
    for name, path in _named_vessels(profile):
        if name not in profile.vessels and name not in broken:
            yield "no_such_vessel", path, {"text": name, "near": _near(name, profile.vessels)}
    for vessel_id, vessel in profile.vessels.items():
        condenser = vessel.vent.condenser
        known = condenser in profile.condensers or condenser in broken
        if vessel.vent.to == "condenser" and not known:
            facts = {"text": condenser or "nothing", "near": _near(condenser or "", profile.condensers)}
            yield "no_such_condenser", ("vessels", vessel_id, "vent"), facts


def _named_vessels(profile: Profile) -> Iterator[tuple[str, tuple[str | int, ...]]]:
    for vessel_id, vessel in profile.vessels.items():
        if vessel.shares_wall_with:
            yield vessel.shares_wall_with, ("vessels", vessel_id, "shares_wall_with")
    for condenser_id, part in profile.condensers.items():
        yield part.drains_to, ("condensers", condenser_id, "drains_to")
    for index, held in enumerate(profile.safety.containment.holds if profile.safety.containment else ()):
        yield held, ("safety", "containment", "holds", index)
    for index, route in enumerate(profile.routes):
        for key, end in (("from", route.from_), ("to", route.to)):
            if end not in profile.supplies:
                yield end, ("routes", index, key)


def _pinned_lines(profile: Profile, broken: frozenset[str]) -> Iterator[Found]:
    """What a pinned route passes: lines and hoses, and whatever else liquid goes through."""
    through = {*profile.lines, *profile.hoses, *profile.pumps, *profile.inline}
    through |= {id_ for id_, valve in profile.valves.items() if valve.positions}
    for index, route in enumerate(profile.routes):
        for number, via in enumerate(route.via):
            if via not in through and via not in broken:
                facts = {"text": via, "near": _near(via, through)}
                yield "no_such_line", ("routes", index, "via", number), facts


def _accepted(profile: Profile, broken: frozenset[str]) -> Iterator[Found]:
    known = {f"{v}.{h}" for v, vessel in profile.vessels.items() for h in vessel.heaters}
    known |= {f"{id_}.vacuum" for id_, condenser in profile.condensers.items() if condenser.vacuum}
    for section in ("vessels", "pumps", "valves", "lines", "hoses", "inline", "condensers", "supplies"):
        known |= set(getattr(profile, section))
    for index, entry in enumerate(profile.accepted):
        where = entry.where
        if where and where not in known and where.partition(".")[0] not in broken:
            facts = {"text": where, "near": _near(where, known)}
            yield "no_such_equipment", ("accepted", index, "where"), facts


def _drawn_places(profile: Profile, broken: frozenset[str]) -> Iterator[Found]:
    """What the owner pins in the drawing; the band over the vessels is no place for a vessel."""
    blocks = {*profile.pumps, *profile.inline, *profile.condensers, *profile.supplies}
    blocks |= {id_ for id_, valve in profile.valves.items() if valve.positions}
    for id_, place in profile.drawing.positions.items():
        path = ("drawing", "positions", id_)
        if id_ not in blocks and id_ not in profile.vessels and id_ not in broken:
            facts = {"text": id_, "near": _near(id_, blocks | set(profile.vessels))}
            yield "no_such_drawn_part", path, facts
        elif id_ in profile.vessels and place.row == 0:
            yield "vessel_in_band", path, {"text": id_}


def _emergency_stop(profile: Profile, broken: frozenset[str]) -> Iterator[Found]:
    heaters = {f"{v}.{h}" for v, vessel in profile.vessels.items() for h in vessel.heaters}
    allowed = heaters | set(profile.pumps)
    allowed |= {f"{id_}.vacuum" for id_, condenser in profile.condensers.items() if condenser.vacuum}
    for index, cut in enumerate(profile.safety.emergency_stop.cuts):
        if cut not in allowed and cut.partition(".")[0] not in broken:
            path = ("safety", "emergency_stop", "cuts", index)
            yield "no_such_load", path, {"text": cut, "near": _near(cut, allowed)}


def _washing(profile: Profile, broken: frozenset[str]) -> Iterator[Found]:
    roles = {role for vessel in profile.vessels.values() for role in vessel.roles}
    if broken:
        return
    if profile.recipe.washing.method == "water":
        for role in ("wash", "waste_water"):
            if role not in roles:
                yield "role_missing", ("vessels",), {"role": role}
        if not any(supply.carries == "water" for supply in profile.supplies.values()):
            yield "no_wash_water", ("recipe", "washing"), {}
    elif not any(part.kind.endswith("_tower") for part in profile.inline.values()):
        yield "no_tower", ("recipe", "washing"), {}
    for id_, part in profile.inline.items():
        known = (part.bed_volume_m3, part.adsorbent_kg, part.soap_uptake)
        if part.kind == "adsorbent_tower" and profile.recipe.washing.method == "tower" and None in known:
            yield "adsorbent_missing", ("inline", id_), {"label": part.label}


def _titrant(profile: Profile) -> Iterator[Found]:
    """A titrant of the batch's own flake is the batch's own base."""
    catalyst, titrant = profile.recipe.catalyst, profile.recipe.catalyst.titrant
    if titrant.made_from == "same_flake" and titrant.base != catalyst.base:
        facts = {"catalyst": catalyst.base, "titrant": titrant.base}
        yield "titrant_of_other_base", ("recipe", "catalyst", "titrant", "base"), facts


def _three_way_ports(profile: Profile) -> Iterator[Found]:
    used = {end for end, _ in _named_ends(profile)}
    for valve_id, valve in profile.valves.items():
        ports = {port for joined in (valve.positions or {}).values() for port in joined}
        if not {end.partition(".")[2] for end in used if end.partition(".")[0] == valve_id} <= ports:
            continue  # a line ends at a port that no position names: that is told, and likely the same slip
        for port in sorted(ports):
            if f"{valve_id}.{port}" not in used:
                yield "not_connected", ("valves", valve_id, "positions"), {"text": f"{valve_id}.{port}"}


def _labels(profile: Profile) -> Iterator[Found]:
    """Two valves with one painted label send the hand to the wrong one."""
    for section in ("valves", "pumps", "vessels"):
        seen: dict[str, str] = {}
        for part_id, part in getattr(profile, section).items():
            label = part.label.casefold()
            if label in seen:
                facts = {"label": part.label, "other": seen[label]}
                yield "label_twice", (section, part_id, "label"), facts
            seen.setdefault(label, part_id)


def _heaters_are_read(profile: Profile) -> Iterator[Found]:
    """Heat without a thermometer, or over a level nobody can read, cannot be written as a procedure."""
    for vessel_id, vessel in profile.vessels.items():
        if vessel.heaters and vessel.thermometer is None:
            yield "no_thermometer", ("vessels", vessel_id), {"label": vessel.label}
        if vessel.heaters and vessel.gauge is None:
            yield "no_gauge", ("vessels", vessel_id), {"label": vessel.label}


def _near(text: str, known: Any) -> str:
    close = difflib.get_close_matches(text, sorted(known), n=3, cutoff=0.5)
    return ", ".join(close) or ", ".join(sorted(known)[:6])
