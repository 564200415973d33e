"""The route search and the flood-fill, against networkx on random piping (library-computed)."""

from __future__ import annotations

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.plant.flood import flood
from generator.plant.network import Network
from generator.plant.routes import TooTangled, liquid_may_go, simple_routes
from generator.profile.model import Profile
from generator.profile.piping import Line, Pump, Tee, Valve
from tests.rigs import rig

TEES = [f"t{number}" for number in range(6)]
PORTS = ["dryer.suction", "reactor.drain", "settler.inlet"]
PUMPS = ["p1", "p2"]
NODES = [*TEES, *PORTS, *(f"{pump}.{end}" for pump in PUMPS for end in ("in", "out"))]
FIXED = settings(derandomize=True, max_examples=150, deadline=None)

ends = st.tuples(st.sampled_from(NODES), st.sampled_from(NODES)).filter(lambda pair: pair[0] != pair[1])
# (from, to), the kind of the valve in it, whether that valve is open
piping = st.lists(st.tuples(ends, st.sampled_from(["ball", "check"]), st.booleans()), min_size=1, max_size=14)


def _profile(drawn, passes: bool = True) -> Profile:
    pump = {
        "label": "P",
        "name": "Pump",
        "kind": "gear",
        "when_stopped": "passes" if passes else "blocks",
        "flow": "10 L/min",
        "rated_for_vapour": "yes",
        "elevation": "0.1 m",
    }
    context = {"units": "metric"}
    return rig("quillmere").model_copy(
        update={
            "hoses": {},
            "inline": {},
            "supplies": {},
            "tees": {tee: Tee() for tee in TEES},
            "pumps": {name: Pump.model_validate(pump, context=context) for name in PUMPS},
            "valves": {
                f"v{number}": Valve.model_validate({"label": str(number), "kind": kind})
                for number, (_, kind, _) in enumerate(drawn)
            },
            "lines": {
                f"l{number}": Line.model_validate({"from": start, "to": end, "valves": [f"v{number}"]})
                for number, ((start, end), _, _) in enumerate(drawn)
            },
        }
    )


def _oracle(drawn, pumps_both_ways: bool) -> nx.MultiDiGraph:
    """Every direction that is possible as an edge: check valves and running pumps have one, the rest both."""
    graph = nx.MultiDiGraph()
    graph.add_nodes_from(NODES)
    for number, ((start, end), kind, _) in enumerate(drawn):
        graph.add_edge(start, end, key=f"l{number}")
        if kind != "check":
            graph.add_edge(end, start, key=f"l{number}")
    for pump in PUMPS:
        graph.add_edge(f"{pump}.in", f"{pump}.out", key=pump)
        if pumps_both_ways:
            graph.add_edge(f"{pump}.out", f"{pump}.in", key=pump)
    return graph


@given(piping)
@FIXED
def test_simple_routes_are_those_networkx_finds(drawn) -> None:
    network = Network.of(_profile(drawn))
    start, goal = "dryer.suction", "reactor.drain"
    found = [
        tuple(step.passage.id for step in route.steps)
        for route in simple_routes(network, [start], [goal], liquid_may_go(network, ()))
    ]
    graph = _oracle(drawn, pumps_both_ways=False)
    graph.remove_node("settler.inlet")
    expected = [
        tuple(key for _, _, key in path)
        for path in nx.all_simple_edge_paths(graph, start, goal)
        if sum(key in PUMPS for _, _, key in path) <= 1
    ]
    assert len(set(found)) == len(found)
    assert set(found) == set(expected)


@given(piping, st.sampled_from([None, *PUMPS]), st.booleans())
@FIXED
def test_flood_reaches_what_networkx_reaches(drawn, running, passes) -> None:
    positions = {
        f"v{number}": "open" if is_open else "closed" for number, (_, _, is_open) in enumerate(drawn)
    }
    graph = _oracle(drawn, pumps_both_ways=True)
    for number, (_, kind, is_open) in enumerate(drawn):
        if kind != "check" and not is_open:
            graph.remove_edges_from([edge for edge in graph.edges(keys=True) if edge[2] == f"l{number}"])
    for pump in PUMPS:
        if pump == running:
            graph.remove_edge(f"{pump}.out", f"{pump}.in", key=pump)
        elif not passes:
            graph.remove_edge(f"{pump}.in", f"{pump}.out", key=pump)
            graph.remove_edge(f"{pump}.out", f"{pump}.in", key=pump)
    # A vessel fills and is not passed through; the one it starts from is left by its own port.
    graph.remove_edges_from([edge for port in PORTS[1:] for edge in list(graph.out_edges(port, keys=True))])
    network = Network.of(_profile(drawn, passes))
    wet = flood(network, positions, {}, ["dryer.suction"], running)
    expected = {"dryer.suction"} | nx.descendants(graph, "dryer.suction")
    assert wet.nodes == expected
    assert wet.vessels == {port.partition(".")[0] for port in PORTS if port in expected}
    assert wet.spouts == frozenset()


@given(st.lists(st.tuples(ends, st.just("ball"), st.booleans()), min_size=1, max_size=14))
@FIXED
def test_flood_of_tees_and_plain_valves_is_a_connected_component(drawn) -> None:
    drawn = [one for one in drawn if all(end in TEES for end in one[0])]
    graph = nx.Graph()
    graph.add_nodes_from(TEES)
    graph.add_edges_from(pair for pair, _, is_open in drawn if is_open)
    positions = {
        f"v{number}": "open" if is_open else "closed" for number, (_, _, is_open) in enumerate(drawn)
    }
    network = Network.of(_profile(drawn))
    for tee in TEES:
        assert flood(network, positions, {}, [tee]).nodes == nx.node_connected_component(graph, tee)


def test_a_tangle_is_refused_and_not_searched_for_ever() -> None:
    tees = [f"t{number}" for number in range(14)]
    lines = {
        f"l{a}_{b}": Line.model_validate({"from": tees[a], "to": tees[b]})
        for a in range(14)
        for b in range(a)
    }
    tangle = {"tees": {tee: Tee() for tee in tees}, "lines": lines, "hoses": {}}
    network = Network.of(rig("quillmere").model_copy(update=tangle))
    with pytest.raises(TooTangled):
        list(simple_routes(network, ["t0"], ["t13"], liquid_may_go(network, ())))
