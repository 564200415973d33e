"""What parts a piece of equipment from the rest: answers by hand, and a flood that cannot pass."""

from __future__ import annotations

import pytest

from generator.plant.flood import flood
from generator.plant.network import Network, normal_state
from generator.plant.parting import parted
from generator.plant.plant import Plant
from tests.rigs import rig

RIGS = ("quillmere", "larkstead", "withyburn")

# By hand, from the lines of each profile: painted labels of the valves, and of the hoses that are taken off.
BY_HAND = {
    ("quillmere", "reactor"): ({"03", "06", "14"}, set()),
    ("quillmere", "settler"): ({"07", "08"}, set()),
    ("quillmere", "charge_can"): ({"B"}, {"steel hose"}),
    ("quillmere", "p1"): ({"01", "02", "03", "05", "06", "07", "B"}, set()),
    ("quillmere", "tower"): ({"12", "13"}, set()),
    ("larkstead", "tank"): ({"1", "5", "7", "red handle"}, set()),
    ("larkstead", "pump"): ({"1", "2", "3", "5", "6"}, set()),
    ("larkstead", "hand_pump"): (set(), {"braided hose"}),
}


@pytest.mark.parametrize(("name", "part"), BY_HAND)
def test_valves_and_hoses_are_those_found_by_hand(name: str, part: str) -> None:
    plant = Plant(rig(name))
    found = parted(plant, part)
    valves, hoses = BY_HAND[name, part]
    assert {plant.label(valve) for valve in found.valves} == valves
    assert {plant.label(hose) for hose in found.hoses} == hoses


def test_what_no_valve_parts_is_named() -> None:
    assert parted(Plant(rig("larkstead")), "hand_pump").lifted == ("methanol_drum",)
    assert parted(Plant(rig("withyburn")), "tank").supplies == ("water",)
    assert parted(Plant(rig("quillmere")), "p1").vessels == ()


@pytest.mark.parametrize("name", RIGS)
def test_nothing_runs_past_what_is_closed(name: str) -> None:
    """Derived: with those valves closed and hoses off, liquid from within stays in, from without out."""
    plant = Plant(rig(name))
    network, (positions, hoses) = Network.of(plant.profile), normal_state(plant.profile)
    profile = plant.profile
    for part in (*profile.vessels, *profile.pumps, *profile.inline):
        found = parted(plant, part)
        shut = {**positions, **dict.fromkeys(found.valves, "closed")}
        off = {**hoses, **dict.fromkeys(found.hoses)}
        inside = {port for vessel in found.vessels for port in network.ports_of(vessel)}
        inside |= {f"{id_}.{end}" for id_ in (*found.pumps, *found.inline) for end in ("in", "out")}
        with_it = {*found.vessels, *found.lifted, *found.vapour}
        assert flood(network, shut, off, inside).vessels <= with_it, part
        others = [vessel for vessel in profile.vessels if vessel not in with_it]
        for port in [port for vessel in others for port in network.ports_of(vessel)]:
            wet = flood(network, shut, off, [port])
            assert not wet.nodes & inside and not wet.vessels & set(found.vessels), (part, port)
