"""The whole plant as a diagram: every vessel, machine, line and hose, valves in their normal positions."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

from generator.handbook.drawing.bodies import Body, bodies, element_heights
from generator.handbook.drawing.parts import Diagram, Fitting, Flow, Heater, Item, Nozzle, Pin
from generator.handbook.drawing.runs import OPEN, Joiner, Run, loose, owner, settled
from generator.handbook.marks import clean
from generator.plant.plant import Plant, Tank
from generator.profile.model import Profile
from generator.profile.vessels import Role

# Roles as a batch reads from left to right.
PROCESS: tuple[Role, ...] = (
    "oil_supply",
    "dry",
    "acid_waste",
    "methanol",
    "methoxide",
    "react",
    "settle",
    "glycerin",
    "strip",
    "recovered_methanol",
    "wash",
    "waste_water",
    "fuel",
)
PUMPED = ("in", "out")
# A port so close to floor or lid, as a share of the height, goes through floor or lid.
NEAR_FLOOR, NEAR_LID, HALFWAY = 0.03, 0.985, 0.5


def whole(plant: Plant) -> Diagram:
    """The diagram of a whole plant."""
    profile = plant.profile
    runs = [*all_lines(profile), *_all_hoses(profile)]
    process = sorted(profile.vessels, key=lambda id_: min(map(PROCESS.index, profile.vessels[id_].roles)))
    return diagram(plant, runs, process, whole_plant=True)


def valve(profile: Profile, valve_id: str, state: str | None = None) -> Fitting:
    """A valve as a fitting, in its normal position where no other is given."""
    described = profile.valves[valve_id]
    stands = "" if described.kind == "check" else (state or described.normal)
    return Fitting(described.kind, valve_id, clean(described.label), stands)


def all_lines(profile: Profile, states: Mapping[str, str] | None = None) -> Iterator[Run]:
    """Every line as a run; ``states`` are positions that are not the normal ones."""
    for id_, line in profile.lines.items():
        fittings = [valve(profile, v, (states or {}).get(v)) for v in line.valves]
        if line.restrictor:
            fittings.append(Fitting("restrictor", id_))
        start = f"{OPEN}{id_}.from" if line.from_ == "open" else line.from_
        yield Run(id_, start, (f"{OPEN}{id_}" if line.to == "open" else line.to,), tuple(fittings))


def hose_run(profile: Profile, id_: str, ends: Iterable[str], states: Mapping[str, str] | None = None) -> Run:
    """A hose that goes to each of the ends in turn."""
    hose = profile.hoses[id_]
    valves = [valve(profile, v, (states or {}).get(v)) for v in hose.valves]
    fittings = (*valves, Fitting("hose", id_, clean(hose.label)), Fitting("coupling", id_))
    return Run(id_, hose.fixed, tuple(dict.fromkeys(ends)), fittings, "hose")


def _all_hoses(profile: Profile) -> Iterator[Run]:
    for id_, hose in profile.hoses.items():
        yield hose_run(profile, id_, hose.ends)


def diagram(
    plant: Plant,
    runs: Iterable[Run],
    vessels: Iterable[str],
    positions: Mapping[str, str] | None = None,
    *,
    whole_plant: bool = False,
) -> Diagram:
    """Runs with the items at their ends. ``vessels`` are drawn even where nothing joins them."""
    profile, every = plant.profile, tuple(runs)
    joiner = Joiner(profile.tees, profile.vessels.__contains__)
    joiner.add(every)
    named = dict.fromkeys(owner(ref) for run in every for ref in run.refs if not loose(ref))
    shown = dict.fromkeys([*vessels, *(id_ for id_ in named if id_ in profile.vessels)])
    nozzles = _hose_flows(joiner.nozzles)
    blocks = [*_blocks(profile, named, positions or {}), *joiner.items]
    if whole_plant:
        nozzles += _vents(profile)
        nozzles += _condensing(profile, {(n.item, n.port) for n in nozzles})
        blocks += _condensers(profile)
    tanks = [plant.tanks[id_] for id_ in shown]
    sized = bodies(tanks)
    places = {
        (tank.id, port): place for tank in tanks for port, place in _places(tank, sized[tank.id][1]).items()
    }
    items = [_vessel(tank, nozzles, *sized[tank.id]) for tank in tanks]
    pins = {id_: Pin(place.column, place.row) for id_, place in profile.drawing.positions.items()}
    return Diagram((*items, *blocks), tuple(settled(nozzles, places)), pins)


def _hose_flows(nozzles: Iterable[Nozzle]) -> list[Nozzle]:
    """A hose is written from its fixed end; which way it flows is told by the pump at its header."""
    every = list(nozzles)
    pumped: dict[str | None, Flow] = {
        n.net: "out" if n.port == "in" else "in" for n in every if n.port in PUMPED
    }
    return [
        replace(n, flow=pumped[n.net])
        if n.style == "hose" and n.port not in PUMPED and n.net in pumped
        else n
        for n in every
    ]


def _blocks(profile: Profile, named: Collection[str], positions: Mapping[str, str]) -> Iterator[Item]:
    """Everything but vessels that lines lead to, in the profile's order."""
    for id_, pump in profile.pumps.items():
        if id_ in named:
            yield Item(id_, pump.kind, clean(pump.label))
    for id_, part in profile.inline.items():
        if id_ in named:
            yield Item(id_, part.kind, clean(part.label))
    for id_, turned in profile.valves.items():
        if id_ in named and turned.positions:
            position = positions.get(id_, turned.normal)
            joined = frozenset(turned.positions[position])
            yield Item(id_, "three_way", clean(turned.label), joined=joined, position=clean(position))
    for id_, supply in profile.supplies.items():
        if id_ in named:
            yield Item(id_, "supply", clean(supply.label))


def _vessel(tank: Tank, nozzles: Iterable[Nozzle], body: Body, per_m: float) -> Item:
    vessel = tank.vessel
    heaters = tuple(
        Heater(clean(vessel.heaters[id_].label), height)
        for id_, height in element_heights(tank, per_m).items()
    )
    used = {n.port for n in nozzles if n.item == tank.id and n.flow == "out"}
    outlets = [p.mouth_m for id_, p in vessel.ports.items() if id_ in used and p.space == "liquid"]
    return Item(
        tank.id,
        "vessel",
        clean(vessel.label),
        clean(vessel.name),
        body,
        heaters,
        limit=tank.shape.level_at(tank.limit_m3) * per_m,
        heel=min(outlets, default=0.0) * per_m,
    )


def _places(tank: Tank, per_m: float) -> dict[str, Nozzle]:
    """Where each port of a vessel stands on it, by port."""
    height_m = tank.shape.inside_height_m
    found = {}
    for id_, port in tank.vessel.ports.items():
        share = port.height_m / height_m
        plain = Nozzle(tank.id, id_, "", None, height=port.height_m * per_m)
        if share >= NEAR_LID or (port.dip_end_m is not None and share > HALFWAY):
            dip = None if port.dip_end_m is None else port.dip_end_m * per_m
            found[id_] = replace(plain, side="top", dip=dip)
        elif share <= NEAR_FLOOR:
            found[id_] = replace(plain, side="bottom", upwards=False)
        else:
            found[id_] = replace(plain, side="side", upwards=port.space == "gas" or share > HALFWAY)
    return found


def _vents(profile: Profile) -> Iterator[Nozzle]:
    """Vents that lead outdoors or into the room, each with what stands in it."""
    for id_, vessel in profile.vessels.items():
        vent = vessel.vent
        if vent.to not in ("outdoors", "room"):
            continue
        fittings = [Fitting("arrester")] if vent.flame_arrester else []
        if vent.valved:
            fittings.insert(0, Fitting("valve"))
        yield Nozzle(
            id_, "vent", f"{id_}.vent", None, (*fittings, Fitting(f"vent_{vent.to}")), "vapour", "out"
        )


def _condensers(profile: Profile) -> Iterator[Item]:
    """Condensers with their vacuum pumps, and the air valve through which all behind one breathes."""
    for id_, condenser in profile.condensers.items():
        yield Item(id_, "condenser", clean(condenser.label))
        if condenser.vacuum is not None:
            yield Item(f"{id_}.vacuum", "vacuum_pump", clean(condenser.vacuum.label))
            yield Item(f"{id_}.air", "spout", "")


def _condensing(profile: Profile, taken: Collection[tuple[str, str]]) -> Iterator[Nozzle]:
    """Vapour to each condenser and condensate from it."""
    for id_, condenser in profile.condensers.items():
        vapour, liquid = f"{id_}.vapour", f"{id_}.condensate"
        for vessel_id, vessel in profile.vessels.items():
            if vessel.vent.condenser == id_:
                yield Nozzle(vessel_id, "vent", vapour, vapour, (), "vapour", "out")
        yield Nozzle(id_, "in", vapour, vapour, (), "vapour", "in")
        yield Nozzle(id_, "out", liquid, liquid, (), "pipe", "out")
        if condenser.vacuum is not None:
            gas, air = f"{id_}.gas", Fitting("valve", f"{id_}.air", clean(condenser.vacuum.air_valve), "open")
            yield Nozzle(id_, "gas", gas, gas, (), "vapour", "out")
            yield Nozzle(f"{id_}.vacuum", "in", gas, gas, (), "vapour", "in")
            yield Nozzle(f"{id_}.vacuum", "out", gas, None, (Fitting("vent_outdoors"),), "vapour", "out")
            yield Nozzle(f"{id_}.air", "", gas, gas, (air,), "vapour", "none")
        ports = profile.vessels[condenser.drains_to].ports
        free = (p for p in ports if ports[p].space == "gas" and (condenser.drains_to, p) not in taken)
        yield Nozzle(condenser.drains_to, next(free, "condensate"), liquid, liquid, (), "pipe", "in")
