"""Methoxide let into the running circulation: heater locked, pump running, the throttle last and first."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from generator.operations.maker import Maker
from generator.plant.lineup import LineUp, Want
from generator.plant.plant import Plant


def inject(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """Let the can's methoxide into the circulation around the reacting vessel, no faster than computed.

    The circulation must be running; only the valves of the second stream move. ``contact`` names the message
    for what is in the can, where it is not methoxide; ``dose`` the dose whose flow and time are meant.
    """
    react, can = maker.vessel("react"), maker.vessel("methoxide")
    around = maker.line_ups.get(Want(react, react))
    found = maker.line_ups.get(Want(react, react, beside=can))
    if around is None or found is None:
        return
    added = [valve for valve in found.open if valve not in around.open]
    last = found.throttle or added[-1]
    maker.wets = (react, can)
    data = {"can": can, "vessel": react, "valve": last, "pump": found.pump, "dose": given.get("dose")}
    common: dict[str, Any] = {"line_up": found.id}
    contact = str(given.get("contact", "methoxide_contact"))
    _guards(maker, found, around)
    if len(added) > 1:
        maker.add("check_closed", {"valves": (last,)}, valves=(last,), **common)
    for valve in added:
        if valve != last:
            maker.add("open_valve", {"valve": valve, "hint": ""}, valves=(valve,), **common)
    maker.add("let_in", data, valves=(last,), equipment=(can,), messages=(contact,), **common)
    maker.add("let_in_watch", data, equipment=(can, react), **common)
    for valve in reversed(added):
        if valve != last or len(added) == 1:
            maker.add("close_valve", {"valve": valve, "hint": ""}, valves=(valve,), **common)
    normal_closed = maker.plant.profile.valves[last].normal == "closed"
    if len(added) > 1 and normal_closed:
        maker.add(
            "close_valve", {"valve": last, "hint": ""}, valves=(last,), messages=("trapped_liquid",), **common
        )


def shut_in(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """Close every valve on a vessel's outlet, a throttle too: two shut valves part it from the pump.

    What is closed at rest is read only: an order to close what is closed teaches to pass over orders.
    """
    for valve in outlet_valves(maker.plant, maker.vessel(given)):
        if maker.plant.profile.valves[valve].normal == "closed":
            maker.add("check_closed", {"valves": (valve,)}, valves=(valve,), **options)
        else:
            data = {"valve": valve, "hint": "", "stays": True}
            maker.add("close_valve", data, valves=(valve,), **options)


def outlet_valves(plant: Plant, vessel: str) -> list[str]:
    """Valves with a handle on the lines that leave a vessel."""
    profile = plant.profile
    lines = [line for line in profile.lines.values() if line.from_.partition(".")[0] == vessel]
    return [valve for line in lines for valve in line.valves if profile.valves[valve].kind != "check"]


def shut_while_held(plant: Plant) -> list[str]:
    """Outlet valves of the methoxide vessel that stand open at rest and are shut while it holds something."""
    can = plant.with_role("methoxide")
    valves = plant.profile.valves
    return [v for v in outlet_valves(plant, can.id) if valves[v].normal == "open"] if can else []


def _guards(maker: Maker, found: LineUp, around: LineUp) -> None:
    new = tuple(v for v in (*found.touching, *found.guard) if v not in (*around.touching, *around.guard))
    if new:
        maker.add("check_closed", {"valves": new}, valves=new, line_up=found.id)
