"""The proof of a line-up, and the closed list: enough, and nothing on it for show. By hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from generator.plant import proof
from generator.plant.flood import flood
from generator.plant.lineup import Want
from generator.plant.lineups import candidates, line_up
from generator.plant.network import Network, normal_state
from generator.plant.plant import Plant
from tests.rigs import rig

AROUND_REACTOR = Want("reactor", "reactor")
AROUND_FINISHER = Want("finisher", "finisher")
AROUND_TANK = Want("tank", "tank")


@pytest.mark.parametrize(
    ("want", "change", "found"),
    [
        (AROUND_REACTOR, {"open": ("v06", "v03", "v02")}, "dryer"),
        (AROUND_REACTOR, {"open": ("v06", "v03", "sample_reactor"), "guard": ("v14",)}, "reactor_sample"),
        (AROUND_REACTOR, {"open": ("v06", "v03", "v01"), "touching": ("v02",)}, "oil_hose"),
        (AROUND_REACTOR, {"open": ("v03",)}, "reactor"),
        (AROUND_FINISHER, {"open": ("v11", "v10", "v08"), "touching": ("v12", "v14")}, "settler"),
        (Want("settler", "finisher"), {"positions": {"layer_valve": "GLYCERIN"}}, "glycerin_drum"),
        (Want("methanol_drum", "charge_can"), {"hoses": ()}, "charge_can"),
        (replace(AROUND_REACTOR, beside="charge_can"), {"wetted": frozenset({"reactor"})}, "charge_can"),
    ],
)
def test_the_proof_finds_a_wrong_line_up(want: Want, change: dict[str, Any], found: str) -> None:
    plant = Plant(rig("quillmere"))
    (good,) = candidates(plant, want)
    assert good.line_up is not None
    network = Network.of(plant.profile)
    assert proof.faults(plant, network, good.line_up, good.way) == []
    wrong = replace(good.line_up, **{"touching": (), **change})
    assert found in proof.faults(plant, network, wrong, good.way)


WANTS = {
    "quillmere": [
        Want("oil_drum", "dryer"),
        Want("dryer", "reactor"),
        AROUND_REACTOR,
        replace(AROUND_REACTOR, beside="charge_can"),
        Want("methanol_drum", "charge_can"),
        Want("reactor", "settler"),
        Want("settler", "glycerin_drum"),
        Want("settler", "finisher"),
        AROUND_FINISHER,
        Want("finisher", "fuel_tank", via="tower"),
        Want("settler", "reactor"),
    ],
    "larkstead": [
        Want("oil_barrel", "tank"),
        AROUND_TANK,
        replace(AROUND_TANK, beside="methoxide_can"),
        Want("methanol_drum", "methoxide_can"),
        Want("tank", "glycerin_can"),
        Want("tank", "wash_drum"),
        Want("water", "tank"),
        Want("tank", "fuel_drum"),
    ],
}


@pytest.mark.parametrize(("name", "want"), [(n, w) for n, ws in WANTS.items() for w in ws], ids=str)
def test_touching_and_guard_valves_are_enough_and_each_is_needed(name: str, want: Want) -> None:
    """With every valve that no list names open the lists hold; with one of theirs open too they do not."""
    plant = Plant(rig(name))
    network = Network.of(plant.profile)
    made = line_up(plant, want)
    normal, _ = normal_state(plant.profile)
    worst = {valve: at if plant.profile.valves[valve].positions else "open" for valve, at in normal.items()}
    hoses = {end.hose: end.port for end in made.hoses}
    starts = [port for vessel in made.wetted for port in network.ports_of(vessel)]

    def wet(closed: set[str]) -> tuple[frozenset[str], frozenset[str], frozenset[str]]:
        positions = {**worst, **dict.fromkeys(closed, "closed"), **made.positions}
        flooded = flood(network, positions, hoses, starts, made.pump)
        return flooded.vessels, flooded.spouts, flooded.lines

    listed = {*made.touching, *made.guard}
    vessels, spouts, lines = wet(listed)
    assert vessels == made.wetted
    assert spouts == frozenset()
    for valve in listed:
        assert wet(listed - {valve})[2] > lines, f"{plant.label(valve)} is on the list for nothing"
