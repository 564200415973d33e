"""How long each stage keeps its vessel, and how soon the next batch can follow."""

from __future__ import annotations

from generator.chemistry.throughput import Stage, batches_in_time, timetable
from generator.figures.basis import Basis, Inputs
from generator.figures.heating import comes_cold
from generator.figures.record import Figure, FigureBook
from generator.plant.plant import Tank

#: A part of a stage: its symbol, and the figure or the seconds.
Part = tuple[str, Figure | float | None]
#: Batches of the longer schedule, one after the other as soon as each vessel is free.
BATCHES = 3
#: Five days and nights at work, starting empty.
WEEK_S = 5.0 * 24.0 * 3600.0
ROLES = ("dry", "react", "settle", "strip", "wash")


def add(basis: Basis) -> None:
    """Stage times, each vessel's stages summed, the longest of them."""
    stages: dict[str, Figure] = {}
    for role, parts in (
        ("dry", _dry(basis)),
        ("react", _react(basis)),
        ("settle", _settle(basis)),
        ("strip", _strip(basis)),
        ("wash", _wash(basis)),
    ):
        if basis.plant.with_role(role) is not None:
            stages[role] = _stage(basis.book, f"stage_{role}", parts)
    _interval(basis, stages)


def _stage(book: FigureBook, kind: str, parts: list[Part]) -> Figure:
    known = [(symbol, part) for symbol, part in parts if part is not None]
    total = sum(part.value if isinstance(part, Figure) else part for _, part in known)
    inputs = {symbol: part if isinstance(part, Figure) else (part, "time") for symbol, part in known}
    return book.add(kind, total, "time", inputs)


def _vessel(basis: Basis, role: str) -> Tank | None:
    return basis.plant.with_role(role)


def _moving(basis: Basis, volume_id: str, pump: str | None, *roles: str) -> float | None:
    """Pumping time between two roles' vessels, s; None where it is one vessel or no pump is known."""
    ends = [_vessel(basis, role) for role in roles]
    flow = basis.flow_m3s(pump)
    if flow is None or None in ends or ends[0] is ends[1]:
        return None
    return basis.value(volume_id) / flow


def _of(basis: Basis, role: str, kind: str) -> Figure | None:
    """A figure of the vessel that plays a role."""
    tank = _vessel(basis, role)
    return basis.book.get(f"{tank.id}.{kind}") if tank is not None else None


def _dry(basis: Basis) -> list[Part]:
    pump = basis.react_pump
    return [
        ("t_in", _oil_in(basis)),
        ("t_heat", _of(basis, "dry", "heating_time_dry")),
        ("t_hold", basis.book.get("drying_time")),
        ("t_cool", basis.book.get("cool_to_preheat_time")),
        ("t_out", _moving(basis, "oil_volume", pump, "dry", "react")),
    ]


def _oil_in(basis: Basis) -> Figure | None:
    """How long the pump runs for a batch's oil: what its flow is tested by, batch after batch."""
    time_s, flow = _moving(basis, "oil_volume", basis.react_pump, "oil_supply", "dry"), basis.react_pump
    if time_s is None:
        return None
    inputs: Inputs = {"V_oil": basis.book["oil_volume"], "Q": (basis.flow_m3s(flow) or 0.0, "flow")}
    return basis.book.add("oil_in_time", time_s, "time", inputs)


def _again(basis: Basis, parts: list[Part]) -> list[Part]:
    """The parts, and once more their sum where the batch goes through them twice."""
    if basis.recipe.stages == 1:
        return parts
    once = sum(part.value if isinstance(part, Figure) else part for _, part in parts if part is not None)
    slower = _of(basis, "react", "heating_time_second")
    warming = dict(parts).get("t_heat")
    if slower is not None and "t_heat" in dict(parts):
        once += slower.value - (warming.value if isinstance(warming, Figure) else 0.0)
    return [*parts, ("t_again", once)]


def _react(basis: Basis) -> list[Part]:
    pump = basis.react_pump
    parts: list[Part] = [
        ("t_in", _moving(basis, "oil_volume", pump, "dry", "react")),
        ("t_inj", basis.book.get("injection_time")),
        ("t_heat", _of(basis, "react", "heating_time_react")),
        ("t_hold", basis.book.get("reaction_time")),
        ("t_out", _moving(basis, "charge_volume", pump, "react", "settle")),
    ]
    cold = _of(basis, "react", "heating_time_preheat") if comes_cold(basis) else None
    return [("t_pre", cold), *_again(basis, parts)]


def _after_settling(basis: Basis) -> str:
    """The role the ester goes to next."""
    return next((role for role in ("strip", "wash") if _vessel(basis, role) is not None), "fuel")


def _settle(basis: Basis) -> list[Part]:
    parts: list[Part] = [
        ("t_in", _moving(basis, "charge_volume", basis.react_pump, "react", "settle")),
        ("t_hold", basis.book.get("settle_time")),
        ("t_out", _moving(basis, "ester_volume", basis.finish_pump, "settle", _after_settling(basis))),
    ]
    return _again(basis, parts)


def _strip(basis: Basis) -> list[Part]:
    """A tower is fed from this vessel, so that its time counts here; else the fuel is pumped on."""
    book, pump = basis.book, basis.finish_pump
    onward = "wash" if _vessel(basis, "wash") is not None else "fuel"
    out = book.get("tower_time") or _moving(basis, "fuel_volume", pump, "strip", onward)
    return [
        ("t_in", _moving(basis, "ester_volume", pump, "settle", "strip")),
        ("t_heat", _of(basis, "strip", "heating_time_strip")),
        ("t_hold", book.get("sweep_time")),
        ("t_cool", book.get("cool_to_tower_time")),
        ("t_out", out),
    ]


def _wash(basis: Basis) -> list[Part]:
    """Each wash is let in and rests; then the fuel is dried and pumped on."""
    book = basis.book
    if "wash_rest" not in book:
        return []
    count = book["washes"].value
    flow = next((s.flow_m3s for s in basis.profile.supplies.values() if s.carries == "water"), None)
    filling = count * basis.value("wash_water") / flow if flow else None
    source = "strip" if _vessel(basis, "strip") is not None else "settle"
    return [
        ("t_in", _moving(basis, "ester_volume", basis.finish_pump, source, "wash")),
        ("t_water", filling),
        ("t_rest", count * book["wash_rest"].value),
        ("t_heat", _of(basis, "wash", "heating_time_fuel")),
        ("t_hold", book["fuel_drying_time"]),
        ("t_out", _moving(basis, "fuel_volume", basis.finish_pump, "wash", "fuel")),
    ]


def _interval(basis: Basis, stages: dict[str, Figure]) -> None:
    """A vessel that plays several roles is busy for all of them."""
    busy: dict[str, dict[str, Figure]] = {}
    for tank in basis.plant.tanks.values():
        own = {f"t_{role}": stages[role] for role in ROLES if role in tank.vessel.roles and role in stages}
        if sum(figure.value for figure in own.values()) > 0.0:
            busy[tank.id] = own
    if not busy:
        return
    in_order = sorted(busy.values(), key=lambda own: min(ROLES.index(name[2:]) for name in own))
    line = [Stage(sum(figure.value for figure in own.values())) for own in in_order]
    answer = timetable(line, BATCHES)
    basis.book.add("batch_interval", answer.interval_s, "time", in_order[answer.bottleneck])
    every = {name: figure for own in in_order for name, figure in own.items()}
    whole = basis.book.add("first_batch", answer.first_s, "time", every)
    interval = basis.book["batch_interval"]
    count = (float(BATCHES), "count")
    week: Inputs = {"t_1": whole, "t_i": interval, "t_5": (WEEK_S, "time")}
    basis.book.add("batches_in_week", float(batches_in_time(line, WEEK_S)), "count", week)
    basis.book.add("some_batches", answer.all_s, "time", {"t_1": whole, "n": count, "t_i": interval})
