"""Pieces of piping between shut valves. Expectations derived by hand from the rigs' drawings."""

from __future__ import annotations

from generator.plant.trapped import Piece, pieces, relief_valves
from tests.rigs import changed, rig


def _round(valves: set[str], found: tuple[Piece, ...]) -> Piece:
    return next(piece for piece in found if set(piece.valves) == valves)


def test_the_header_of_a_pump_is_one_piece_with_the_pipes_that_end_at_it() -> None:
    header = _round({"v1", "v2", "v3", "v5", "v6"}, pieces(rig("larkstead")))
    assert set(header.lines) >= {"tank_out", "pump_in", "pump_out", "tank_return", "fuel_hose"}
    assert (header.relieved, header.ways_out) == (True, ("v5",))


def test_without_the_open_valve_the_header_is_shut_in() -> None:
    plant = changed("larkstead", valves={"v5": {"normal": "closed"}})
    assert not _round({"v1", "v2", "v3", "v5", "v6"}, pieces(plant)).relieved


def test_a_relief_on_any_of_its_lines_lets_a_piece_out() -> None:
    plant = changed(
        "larkstead", valves={"v5": {"normal": "closed"}}, lines={"pump_out": {"has_relief": "yes"}}
    )
    assert all(piece.relieved for piece in pieces(plant))


def test_a_pump_that_blocks_parts_two_pieces() -> None:
    gear = {"kind": "gear", "when_stopped": "blocks", "has_relief": "yes"}
    plant = changed("larkstead", pumps={"pump": gear})
    suction = _round({"v1", "v2", "v3"}, pieces(plant))
    assert not suction.relieved
    assert _round({"v5", "v6"}, pieces(plant)).relieved


def test_a_check_valve_lets_out_one_way_only() -> None:
    after_check = _round({"v13", "fuel_check"}, pieces(rig("quillmere")))
    assert (after_check.relieved, after_check.ways_out) == (True, ())
    turned = changed("quillmere", valves={"v13": {"normal": "closed"}})
    assert _round({"v13", "fuel_check"}, pieces(turned)).relieved
    assert not _round({"v12", "v13"}, pieces(turned)).relieved


def test_relief_valves_are_the_ones_left_open_for_it() -> None:
    assert relief_valves(rig("quillmere")) == ("v05", "can_throttle", "v11", "v13")
    assert relief_valves(rig("larkstead")) == ("v5", "v4")
