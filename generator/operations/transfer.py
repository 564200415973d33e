"""Moving liquid: a whole transfer, a circulation started and stopped, and methoxide let in.

The order is the safe one: pump off before any valve moves, receiver's end opened first, pump stopped
first when securing, then the valves in reverse. Positions come from the computed line-up, never from
content.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from generator.operations.acts import goal, number
from generator.operations.heaters import lock_heaters
from generator.operations.maker import Maker
from generator.operations.wording import step_words
from generator.plant.lineup import LineUp, Want

#: Valves that are left at their setting; they are shut and opened by the steps that use them.
THROTTLES = ("needle", "globe")


def transfer(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """From one vessel (or supply) to another.

    Keys: from, to, via, outlet, until, goal, expected, amount, room, lock, bond, watch, messages, running (a
    check right after a motor pump has started). ``goal`` says in data what ``until`` says in
    words, ``room`` the volume that ``amount`` names.
    """
    want = Want(
        maker.vessel(str(given["from"])),
        maker.vessel(str(given["to"])),
        via=given.get("via"),
        outlet=given.get("outlet"),
    )
    if want.via:
        want = Want(want.source, want.destination, via=inline_of(maker, want.via))
    found = maker.line_ups.get(want)
    if found is None:
        return
    data = {"source": want.source, "destination": want.destination}
    maker.wets = (want.source, want.destination)
    _room_and_heaters(maker, given, data)
    _line_up_steps(maker, found, data, given.get("messages", ()))
    _run(maker, found, data, given)
    _secure(maker, found)


def inline_of(maker: Maker, kind: str) -> str:
    """The id of the in-line equipment of a kind (``tower`` takes either sort)."""
    for part_id, part in maker.plant.profile.inline.items():
        if part_id == kind or part.kind.endswith(kind):
            return part_id
    raise KeyError(kind)


def _room_and_heaters(maker: Maker, given: Mapping[str, Any], data: Mapping[str, Any]) -> None:
    if given.get("lock"):
        lock_heaters(maker, given["lock"], {"messages": ("heater_locked_off_for_methanol",)})
    if given.get("amount"):
        amount = maker.words.fill(str(given["amount"]))
        facts = {**data, "amount": amount, "volume_m3": number(maker, given.get("room"), "volume")}
        maker.add("room", facts, equipment=(data["destination"],), messages=("overfill",))
    if given.get("bond"):
        for vessel_id in (data["source"], data["destination"]):
            if vessel_id in maker.plant.tanks and maker.plant.profile.vessels[vessel_id].movable:
                maker.add("bond", {"vessel": vessel_id}, equipment=(vessel_id,), messages=("static_bonding",))


def _line_up_steps(
    maker: Maker, found: LineUp, data: Mapping[str, Any], messages: Sequence[str], last: str = "open_valve"
) -> None:
    """Pump off, hoses on, three-way turned, closed ones checked, then the route opened."""
    common = {"line_up": found.id}
    maker.warn_next = tuple(messages)
    if found.pump is not None and maker.plant.profile.pumps[found.pump].kind != "hand":
        maker.add("check_pump_off", {"pump": found.pump}, equipment=(found.pump,), **common)
    _hoses_on(maker, found)
    for valve, position in found.positions.items():
        turn = {"valve": valve, "position": position}
        if maker.plant.profile.valves[valve].normal == position:
            maker.add("check_turned", turn, valves=(valve,), **common)
        else:
            maker.add("turn_valve", turn, valves=(valve,), messages=("three_way_turning",), **common)
    ends = maker.words.tags(_vessels(maker, found))
    for valve in _normally_open(maker, (*found.touching, *found.guard)):
        hint = step_words()["hints"]["astray" if valve in found.touching else "guard"]
        why = " " + maker.words.fill(hint, {"ends": _touched(maker, found, valve) or ends})
        maker.add("close_valve", {"valve": valve, "hint": why}, valves=(valve,), **common)
    if found.touching:
        maker.add("check_closed", {"valves": found.touching}, valves=found.touching, **common)
    if found.guard:
        maker.add("check_guards", {"valves": found.guard, "ends": ends}, valves=found.guard, **common)
    for valve in found.open:
        action = last if valve == found.open[-1] else "open_valve"
        if _normally_open(maker, [valve]):
            action = "check_open"
        maker.add(
            action, {"valve": valve, "hint": _hint(maker, found, valve), **data}, valves=(valve,), **common
        )


def _touched(maker: Maker, found: LineUp, valve: str) -> str:
    """The labels of those vessels of a line-up into which a valve's own line or hose opens."""
    profile = maker.plant.profile
    lines = [(line.from_, line.to) for line in profile.lines.values() if valve in line.valves]
    hoses = [(hose.fixed, *hose.ends) for hose in profile.hoses.values() if valve in hose.valves]
    owners = {end.partition(".")[0] for ends in (*lines, *hoses) for end in ends}
    return maker.words.tags(vessel for vessel in _vessels(maker, found) if vessel in owners)


def _hoses_on(maker: Maker, found: LineUp) -> None:
    """Each hose to its end; one that is parked on another vessel comes off that first."""
    for end in found.hoses:
        vessel = end.port.partition(".")[0]
        hose = {"hose": end.hose, "vessel": vessel, "port": end.port}
        normal = maker.plant.profile.hoses[end.hose].normal
        common = {"line_up": found.id, "equipment": (end.hose, vessel)}
        if normal == end.port:
            maker.add("check_hose", hose, **common)
            continue
        if normal is not None:
            maker.add("unpark_hose", {**hose, "vessel": normal.partition(".")[0]}, **common)
        maker.add("connect_hose", hose, messages=("hose_connection",), **common)


def _hoses_off(maker: Maker, found: LineUp) -> None:
    """Each hose off, drained, its vessel shut; one that has a place of its own goes back there."""
    for end in found.hoses:
        part = maker.plant.profile.hoses[end.hose]
        if part.normal == end.port:
            continue
        vessel = end.port.partition(".")[0]
        hose = {"hose": end.hose, "vessel": vessel}
        common = {"line_up": found.id, "equipment": (end.hose, vessel)}
        if part.free_end == "open":
            maker.add("drain_hose", hose, **common)
        sealing = part.free_end == "self_sealing"
        maker.add("disconnect_sealing" if sealing else "disconnect_hose", hose, **common)
        maker.add("close_port", hose, **common)
        if part.normal is not None:
            maker.add("park_hose", {**hose, "vessel": part.normal.partition(".")[0]}, **common)


def _normally_open(maker: Maker, valves: Sequence[str]) -> list[str]:
    """Two-way valves that stand open at rest: they join a closed-in section to a vented vessel."""
    described = maker.plant.profile.valves
    return [v for v in valves if described[v].normal == "open" and described[v].kind not in THROTTLES]


def _vessels(maker: Maker, found: LineUp) -> list[str]:
    ends = [end for stream in found.streams for end in (stream.source, stream.destination)]
    return [end for end in dict.fromkeys(ends) if end in maker.plant.tanks]


def _hint(maker: Maker, found: LineUp, valve: str) -> str:
    """Where a valve stands on the route: into the receiver, out of the source, or nowhere special."""
    words = step_words()["hints"]
    for stream in found.streams:
        for line, side, vessel in (
            (stream.path[-1], "into", stream.destination),
            (stream.path[0], "out", stream.source),
        ):
            if valve in _valves_of(maker, line) and vessel in maker.plant.tanks:
                return " " + maker.words.fill(words[side], {"vessel": vessel})
    return ""


def _valves_of(maker: Maker, line: str) -> list[str]:
    profile = maker.plant.profile
    part = profile.lines.get(line) or profile.hoses.get(line)
    return list(part.valves) if part else []


def _run(maker: Maker, found: LineUp, data: Mapping[str, Any], given: Mapping[str, Any]) -> None:
    pump = found.pump
    common = {"line_up": found.id}
    if pump is not None:
        action = "work_pump" if maker.plant.profile.pumps[pump].kind == "hand" else "start_pump"
        maker.add(action, {**data, "pump": pump}, equipment=(pump,), **common)
        if given.get("running") and maker.plant.profile.pumps[pump].kind != "hand":
            checked = {**data, "pump": pump, **_first_sight(maker, data)}
            maker.add(str(given["running"]), checked, equipment=(pump,), messages=("dead_head",), **common)
    destination = data["destination"]
    watched = maker.words.fill(str(given.get("watch", destination)))
    facts = {
        **data,
        "watched": maker.vessel(watched),
        "until": maker.words.fill(str(given["until"]), {"emptied": _emptied(maker, found)}),
        "limit": maker.words.value("fill_limit", destination),
        "goal": goal(maker, given["goal"]),
    }
    extra: dict[str, Any] = {"expected": given.get("expected"), "blank": given.get("blank")}
    if not extra["expected"]:
        extra["expected"] = step_words()["watch_until_expected"]["text"]
    maker.add("watch_until", facts, equipment=(destination,), **extra, **common)


def _first_sight(maker: Maker, data: Mapping[str, Any]) -> dict[str, Any]:
    """Which gauge shows a held-back flow soonest, and after what time it has moved by more than a mark.

    One and a half marks of the gauge at the tower's flow; five minutes where neither is known (common
    practice, no source).
    """
    profile, flow = maker.plant.profile, maker.figures.get("tower_flow")
    gauges = {end: profile.vessels[end].gauge for end in data.values() if end in profile.vessels}
    marks_m3 = {end: gauge.resolution_m3 for end, gauge in gauges.items() if gauge is not None}
    if not marks_m3 or flow is None:
        return {"seen": data["destination"], "soon": maker.words.shown(300.0, "time")}
    seen = min(marks_m3, key=lambda end: marks_m3[end])
    minutes = math.ceil(1.5 * marks_m3[seen] / flow.value / 60.0)
    return {"seen": seen, "soon": maker.words.shown(60.0 * minutes, "time", "minimum")}


def _emptied(maker: Maker, found: LineUp) -> str:
    """How a person sees that the source has run down to its outlet, before the pump draws air."""
    source, outlet = found.streams[0].source, found.streams[0].outlet
    if source not in maker.plant.tanks:
        return ""
    mouth_m = maker.plant.profile.vessels[source].ports[outlet].mouth_m
    words = step_words()["emptied" if mouth_m <= 0 else "emptied_to"]["text"]
    height = maker.words.shown(mouth_m, "level", "minimum")
    return maker.words.fill(words, {"vessel": source, "height": height})


def _secure(maker: Maker, found: LineUp) -> None:
    """Pump off first, then the valves in reverse: source's end first; hoses last."""
    common = {"line_up": found.id}
    _stop(maker, found)
    for valve in reversed(found.open):
        if not _normally_open(maker, [valve]):
            maker.add("close_valve", {"valve": valve, "hint": ""}, valves=(valve,), **common)
    _rest_positions(maker, found)
    _hoses_off(maker, found)


def _rest_positions(maker: Maker, found: LineUp) -> None:
    """Back to the normal position: three-way valves, and two-way valves that normally stand open."""
    valves = maker.plant.profile.valves
    for valve, position in found.positions.items():
        if valves[valve].normal != position:
            turn = {"valve": valve, "position": valves[valve].normal}
            maker.add("turn_valve", turn, valves=(valve,), line_up=found.id)
    for valve in _normally_open(maker, (*found.touching, *found.guard)):
        maker.add("reopen_valve", {"valve": valve}, valves=(valve,), line_up=found.id)


def _stop(maker: Maker, found: LineUp) -> None:
    pump = found.pump
    if pump is None:
        return
    action = "stop_hand_pump" if maker.plant.profile.pumps[pump].kind == "hand" else "stop_pump"
    maker.add(action, {"pump": pump}, equipment=(pump,), line_up=found.id)


def circulate(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """Set a vessel's circulation and start its pump; it runs until ``stop_circulation``."""
    vessel = maker.vessel(str(given["vessel"]))
    found = maker.line_ups.get(Want(vessel, vessel))
    if found is None:
        return
    data = {"source": vessel, "destination": vessel}
    maker.wets = (vessel,)
    _line_up_steps(maker, found, data, given.get("messages", ()))
    maker.add(
        "start_circulation", {**data, "pump": found.pump}, equipment=(found.pump or "",), line_up=found.id
    )


def check_circulation(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """Make sure that a vessel's circulation runs, valve by valve, before what needs it."""
    vessel = maker.vessel(str(given["vessel"]))
    found = maker.line_ups.get(Want(vessel, vessel))
    if found is None:
        return
    data = {"valves": found.open, "pump": found.pump, "vessel": vessel}
    maker.wets = (vessel,)
    said = {"otherwise": given.get("otherwise"), "line_up": found.id}
    maker.add("check_all_open", data, valves=found.open, **said)
    maker.add("check_runs", data, equipment=(found.pump or "", vessel), **said)


def stop_circulation(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """Stop the pump of a vessel's circulation and secure its valves."""
    vessel = maker.vessel(str(given["vessel"]))
    found = maker.line_ups.get(Want(vessel, vessel))
    if found is not None:
        maker.wets = (vessel,)
        _secure(maker, found)
