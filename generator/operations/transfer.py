"""Moving liquid: a whole transfer, a circulation started and stopped, and methoxide let in.

The order is the safe one: pump off before any valve moves, receiver's end opened first, pump stopped
first when securing, then the valves in reverse. Positions come from the computed line-up, never from
content.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from generator.operations.heaters import lock_heaters
from generator.operations.maker import Maker
from generator.operations.wording import step_words
from generator.plant.lineup import LineUp, Want


def transfer(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """From one vessel (or supply) to another.

    Keys: from, to, via, outlet, until, expected, amount, lock, bond, watch, messages.
    """
    want = Want(
        maker.vessel(str(given["from"])),
        maker.vessel(str(given["to"])),
        via=given.get("via"),
        outlet=given.get("outlet"),
    )
    if want.via:
        want = Want(want.source, want.destination, via=_inline_of(maker, want.via))
    found = maker.line_ups.get(want)
    if found is None:
        return
    data = {"source": want.source, "destination": want.destination}
    _room_and_heaters(maker, given, data)
    _line_up_steps(maker, found, data, given.get("messages", ()))
    _run(maker, found, data, given)
    _secure(maker, found)


def _inline_of(maker: Maker, kind: str) -> str:
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
        maker.add(
            "room", {**data, "amount": amount}, equipment=(data["destination"],), messages=("overfill",)
        )
    if given.get("bond"):
        for vessel_id in (data["source"], data["destination"]):
            if vessel_id in maker.plant.tanks and maker.plant.profile.vessels[vessel_id].movable:
                maker.add("bond", {"vessel": vessel_id}, equipment=(vessel_id,), messages=("static_bonding",))


def _line_up_steps(
    maker: Maker, found: LineUp, data: Mapping[str, Any], messages: Sequence[str], last: str = "open_valve"
) -> None:
    """Pump off, hoses on, three-way turned, closed ones checked, then the route opened."""
    common = {"line_up": found.id}
    if found.pump is not None and maker.plant.profile.pumps[found.pump].kind != "hand":
        maker.add(
            "check_pump_off", {"pump": found.pump}, equipment=(found.pump,), messages=messages, **common
        )
    for end in found.hoses:
        vessel = end.port.partition(".")[0]
        hose = {"hose": end.hose, "vessel": vessel, "port": end.port}
        if maker.plant.profile.hoses[end.hose].normal == end.port:
            maker.add("check_hose", hose, equipment=(end.hose, vessel), **common)
        else:
            maker.add("connect_hose", hose, equipment=(end.hose, vessel), **common)
    for valve, position in found.positions.items():
        turn = {"valve": valve, "position": position}
        maker.add("turn_valve", turn, valves=(valve,), messages=("three_way_turning",), **common)
    if found.touching:
        maker.add("check_closed", {"valves": found.touching}, valves=found.touching, **common)
    if found.guard:
        ends = maker.words.tags(_vessels(maker, found))
        maker.add("check_guards", {"valves": found.guard, "ends": ends}, valves=found.guard, **common)
    for valve in found.open:
        action = last if valve == found.open[-1] else "open_valve"
        maker.add(
            action, {"valve": valve, "hint": _hint(maker, found, valve), **data}, valves=(valve,), **common
        )


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
    destination = data["destination"]
    watched = given.get("watch", destination)
    facts = {
        **data,
        "watched": maker.vessel(str(watched)),
        "until": maker.words.fill(str(given["until"])),
        "limit": maker.words.value("fill_limit", destination),
    }
    extra: dict[str, Any] = {"expected": given.get("expected"), "blank": given.get("blank")}
    if not extra["expected"]:
        extra["expected"] = step_words()["watch_until_expected"]["text"]
    maker.add("watch_until", facts, equipment=(destination,), **extra, **common)


def _secure(maker: Maker, found: LineUp) -> None:
    """Pump off first, then the valves in reverse: source's end first; hoses last."""
    common = {"line_up": found.id}
    _stop(maker, found)
    for valve in reversed(found.open):
        maker.add("close_valve", {"valve": valve, "hint": ""}, valves=(valve,), **common)
    _rest_positions(maker, found)
    for end in found.hoses:
        if maker.plant.profile.hoses[end.hose].normal != end.port:
            vessel = end.port.partition(".")[0]
            maker.add(
                "disconnect_hose", {"hose": end.hose, "vessel": vessel}, equipment=(end.hose,), **common
            )


def _rest_positions(maker: Maker, found: LineUp) -> None:
    """Back to the normal position: three-way valves, and two-way valves that normally stand open."""
    valves = maker.plant.profile.valves
    for valve, position in found.positions.items():
        if valves[valve].normal != position:
            turn = {"valve": valve, "position": valves[valve].normal}
            maker.add("turn_valve", turn, valves=(valve,), line_up=found.id)
    for valve in (*found.open, *found.touching, *found.guard):
        if valves[valve].kind != "three_way" and valves[valve].normal == "open":
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
    _line_up_steps(maker, found, data, given.get("messages", ()))
    maker.add(
        "start_circulation", {**data, "pump": found.pump}, equipment=(found.pump or "",), line_up=found.id
    )


def stop_circulation(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """Stop the pump of a vessel's circulation and secure its valves."""
    vessel = maker.vessel(str(given["vessel"]))
    found = maker.line_ups.get(Want(vessel, vessel))
    if found is not None:
        _secure(maker, found)
