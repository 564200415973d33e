"""What can be wrong with a procedure: a step, or an entry of its file, left out or out of its order."""

from __future__ import annotations

from dataclasses import dataclass

from tests.rehearsal.conftest import Edit, dropped, moved

from .rows import L, Q, W


@dataclass(frozen=True)
class Slip:
    """``edit`` spoils the steps of a procedure; ``rule`` comes up at a step of this ``action``.

    ``told`` is the procedure in which it comes up, where it is another.
    """

    rig: str
    procedure: str
    edit: Edit
    rule: str
    action: str
    told: str = ""
    severity: str = "stop"

    def __str__(self) -> str:
        return f"{self.rig}-{self.procedure}-{self.rule}"


@dataclass(frozen=True)
class Entry:
    """An entry of a procedure's file left out, or moved before another; both found by a piece of their text.

    ``each`` leaves out all that hold the piece. What comes up stands as in ``Slip``.
    """

    rig: str
    procedure: str
    piece: str
    rule: str
    action: str
    told: str = ""
    before: str = ""
    severity: str = "stop"
    each: bool = False

    def __str__(self) -> str:
        return f"{self.rig}-{self.procedure}-{self.piece}-{self.rule}".replace(" ", "_")


STEPS = (
    # A valve is forgotten, or moves too early.
    Slip(Q, "charge-oil", dropped("open_valve", 1), "pump-dry", "start_pump"),
    Slip(L, "charge-oil", dropped("open_valve"), "pump-dry", "start_pump"),
    Slip(W, "charge-oil", dropped("open_valve"), "pump-dry", "start_pump"),
    Slip(Q, "preheat", dropped("open_valve"), "dead-head", "start_pump"),
    Slip(Q, "preheat", dropped("close_valve"), "two-paths", "start_pump"),
    Slip(Q, "settle", dropped("open_valve"), "dead-head", "start_pump"),
    Slip(Q, "charge-oil", dropped("close_valve", 1), "spill", "open_valve", "dry-oil"),
    Slip(Q, "react", dropped("close_valve"), "end-valves", "reopen_valve"),
    Slip(Q, "drain-glycerin", dropped("turn_valve"), "no-flow", "watch_until"),
    Slip(L, "drain-glycerin", dropped("open_valve"), "no-flow", "watch_until"),
    Slip(L, "water-wash", dropped("open_valve"), "no-flow", "watch_until"),
    Slip(L, "drain-glycerin", dropped("close_valve", 1), "spill", "disconnect_hose"),
    Slip(L, "drain-glycerin", moved("disconnect_hose", "close_valve"), "spill", "open_valve"),
    Slip(L, "water-wash", dropped("close_valve"), "check", "check_guards"),
    # A hose is forgotten.
    Slip(Q, "charge-oil", dropped("connect_hose"), "pump-dry", "start_pump"),
    Slip(L, "charge-oil", dropped("connect_hose"), "pump-dry", "start_pump"),
    Slip(L, "drain-glycerin", dropped("connect_hose"), "spill", "open_valve"),
    Slip(W, "drain-glycerin", dropped("connect_hose"), "spill", "start_pump"),
    Slip(L, "drain-glycerin", dropped("disconnect_hose", 1), "end-valves", "close_port"),
    Slip(Q, "methoxide", dropped("unpark_hose"), "hose-taken", "connect_hose"),
    Slip(L, "methoxide", dropped("unpark_hose"), "hose-taken", "connect_hose"),
    # A pump runs on, or never starts.
    Slip(Q, "charge-oil", dropped("stop_pump"), "moved-running", "close_valve"),
    Slip(W, "charge-oil", dropped("stop_pump"), "moved-running", "close_valve"),
    Slip(Q, "charge-oil", dropped("start_pump"), "no-flow", "watch_until"),
    Slip(L, "charge-oil", dropped("start_pump"), "no-flow", "watch_until"),
    Slip(Q, "react", dropped("stop_pump"), "end-pump", "reopen_valve"),
    Slip(Q, "preheat", dropped("start_circulation"), "end-circulation", "lock_heater"),
    Slip(Q, "charge-oil", moved("start_pump", "open_valve"), "moved-running", "open_valve"),
    Slip(L, "charge-oil", moved("start_pump", "open_valve"), "moved-running", "open_valve"),
    # Heat.
    Slip(Q, "dry-oil", moved("switch_on", "unlock_heater"), "locked", "switch_on"),
    Slip(Q, "dry-oil", dropped("switch_on"), "never-hot", "heat_until"),
    Slip(L, "dry-oil", moved("switch_on", "unlock_heater"), "locked", "switch_on"),
    Slip(Q, "react", dropped("lock_heater"), "end-heater", "reopen_valve"),
    Slip(Q, "strip", dropped("do"), "ceiling", "heat_until"),
    # Order of the liquids.
    Slip(Q, "settle", dropped("wait"), "glycerin-carried", "watch_until", "strip"),
    Slip(Q, "drain-glycerin", dropped("watch_until"), "glycerin-carried", "watch_until", "strip"),
    Slip(Q, "methoxide", moved("pour", "work_pump"), "lye-without-methanol", "pour"),
    Slip(W, "methoxide", moved("pour", "work_pump"), "lye-without-methanol", "pour"),
    Slip(Q, "inject", dropped("let_in_watch"), "unreacted", "watch_until", "strip"),
    Slip(Q, "charge-oil", dropped("watch_until"), "uncovered", "cover", "dry-oil"),
)

ENTRIES = (
    Entry(Q, "get-ready", "Release the emergency stop", "stop-pressed", "start_pump", "charge-oil"),
    Entry(
        L,
        "charge-oil",
        "'from': 'oil_supply', 'to': 'dry', 'amount'",
        "pump-dry",
        "start_circulation",
        "dry-oil",
    ),
    # A tap left open, a can not shut in.
    Entry(Q, "dry-oil", "Close {{ spout('dry') }}", "check", "check_guards"),
    Entry(W, "dry-oil", "Close {{ spout('dry') }}", "check", "check_guards"),
    Entry(Q, "methoxide", "'shut_in'", "check", "check_closed", "inject"),
    Entry(W, "methoxide", "'shut_in'", "check", "check_closed", "inject"),
    # Heat that goes on.
    Entry(Q, "dry-oil", "'lock_heaters': 'dry'", "end-heater", "close_valve"),
    Entry(L, "dry-oil", "'lock_heaters': 'dry'", "end-heater", "close_valve"),
    Entry(Q, "preheat", "'lock_heaters': 'react'", "end-heater", "switch_off"),
    Entry(W, "react", "'lock_heaters': 'react'", "end-heater", "close_valve"),
    Entry(L, "dry-fuel", "'lock_heaters': 'wash'", "end-heater", "close_valve"),
    Entry(W, "strip", "'lock_heaters': 'strip'", "end-heater", "do"),
    # Circulation that is never begun, never ended, ended too early.
    Entry(L, "preheat", "'circulate'", "end-circulation", "lock_heater"),
    Entry(W, "preheat", "'circulate'", "end-circulation", "lock_heater"),
    Entry(Q, "dry-oil", "'stop_circulation'", "end-pump", "cool_until"),
    Entry(L, "react", "'stop_circulation'", "end-pump", "lock_heater"),
    Entry(W, "react", "'stop_circulation'", "runs-on", "lock_heater"),
    Entry(L, "drain-glycerin", "'stop_circulation'", "moved-running", "close_valve"),
    # Lye before methanol, lye never weighed, methoxide never let in, into oil that is too warm.
    Entry(L, "methoxide", "'from': 'methanol'", "lye-without-methanol", "pour"),
    Entry(W, "methoxide", "'from': 'methanol'", "lye-without-methanol", "pour"),
    Entry(L, "titrate", "Weigh the flake", "unreacted", "watch_until", "store"),
    Entry(W, "inject", "'inject'", "unreacted", "watch_until", "store"),
    Entry(W, "dry-oil", "'cool'", "hot-receiver", "let_in", "inject"),
    # Water let out before it has parted, or not at all.
    Entry(L, "water-wash", "wash_rest", "wrong-layer", "watch_until"),
    Entry(W, "water-wash", "wash_rest", "wrong-layer", "watch_until"),
    Entry(L, "water-wash", "'from': 'wash', 'to': 'waste_water'", "room", "room"),
    # No cooling water over boiling methanol; a vent that stays shut.
    Entry(Q, "strip", "Open cooling-water valve", "ceiling", "heat_until"),
    Entry(W, "strip", "Open cooling-water valve", "ceiling", "heat_until"),
    Entry(W, "strip", "Open air valve", "vent-shut", "do"),
    Entry(W, "strip", "Stop vacuum pump", "end-pump", "do"),
    # Glycerin that goes on.
    Entry(Q, "drain-glycerin", "'to': 'glycerin', 'amount'", "glycerin-carried", "watch_until", "strip"),
    Entry(
        L,
        "drain-glycerin",
        "'to': 'glycerin', 'amount'",
        "glycerin-carried",
        "watch_until",
        "water-wash",
        each=True,
    ),
    Entry(
        W,
        "drain-glycerin",
        "'to': 'glycerin', 'amount'",
        "glycerin-carried",
        "watch_until",
        "water-wash",
        each=True,
    ),
    # Heaters that somebody may have unlocked since, a fan that nobody switched on.
    Entry(Q, "methoxide", "'lock_heaters': 'all'", "not-locked", "pour"),
    Entry(L, "methoxide", "'lock_heaters': 'all'", "not-locked", "pour"),
    Entry(W, "inject", "'lock_heaters': 'all'", "not-locked", "let_in"),
    Entry(Q, "get-ready", "'flows': 'fan'", "no-fan", "pour", "methoxide"),
    # Oil that was not dried; fuel that holds its methanol or its wash water.
    Entry(Q, "dry-oil", "'circulate'", "wet-charge", "let_in", "inject", severity="warn"),
    Entry(L, "dry-oil", "'circulate'", "wet-charge", "let_in", "inject", severity="warn"),
    Entry(Q, "strip", "'heat'", "methanol-carried", "watch_until", "dry-wash"),
    Entry(Q, "strip", "Open the nitrogen bottle", "methanol-carried", "watch_until", "dry-wash"),
    Entry(L, "water-wash", "Repeat from step", "methanol-carried", "watch_until", "store"),
    Entry(L, "dry-fuel", "'circulate'", "water-carried", "watch_until", "store"),
    Entry(W, "dry-fuel", "fuel_drying_time", "water-carried", "watch_until", "store"),
    # The wrong order.
    Entry(Q, "dry-oil", "'circulate'", "check", "", before="Close {{ spout('dry') }}"),
    Entry(
        L,
        "methoxide",
        "Add {{ val('methoxide_portion') }}",
        "lye-without-methanol",
        "pour",
        before="'from': 'methanol'",
    ),
    Entry(W, "strip", "'heat'", "ceiling", "heat_until", before="Open cooling-water valve"),
    Entry(Q, "strip", "'heat'", "ceiling", "heat_until", before="Open cooling-water valve"),
)

#: Two painted labels swapped on the rig: valves, and what comes of it, one or the other.
SWAPPED = (
    (Q, "v06", "v07", {"astray", "no-flow"}),
    (Q, "v02", "v03", {"pump-dry", "astray"}),
    (Q, "v01", "v03", {"pump-dry", "astray"}),
    (Q, "can_outlet", "v03", {"pump-dry", "astray", "check"}),
    (L, "v1", "v2", {"pump-dry", "astray"}),
    (L, "v7", "v1", {"no-flow", "astray", "pump-dry"}),
    (L, "v5", "v6", {"dead-head", "astray", "check"}),
    (W, "v1", "v2", {"pump-dry", "astray"}),
    (W, "v5", "v6", {"dead-head", "astray", "check"}),
)
