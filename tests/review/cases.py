"""One least change of a demo rig for each rule, and what it must bring to light."""

from __future__ import annotations

from dataclasses import dataclass

Q, L, W = "quillmere", "larkstead", "withyburn"
REACTOR, DRYER, SETTLER, CAN = "\n  reactor:\n", "\n  dryer:\n", "\n  settler:\n", "\n  charge_can:\n"
TOWER = "\n  tower:\n"
FUEL, GLYCERIN = "\n  fuel_tank:\n", "\n  glycerin_drum:\n"
MEOH, RECOVERED = "\n  methanol_drum:\n", "\n  recovered_can:\n"
CRANK = "    agitator: {label: CRANK, kind: hand, rated_for_vapour: yes}\n"
LIMIT = "        high_limit: {label: HL2, manual_reset: yes, independent: yes}\n"
DENSITY = "        rated_watt_density: 2.0 W/cm2\n"
ISOLATOR = "isolator_place: Grey isolator on the outside wall, left of the door"
DRAIN = "drain: {height: 0 m}"
VENT = "vent: {to: outdoors, bore: 50 mm, height_above_ground: 4.0 m, flame_arrester: yes}"
FAN = "  fan: {label: F, switch_place: Outside wall by the door, flow: 640 m3/h, draws_low_and_high: yes}\n"
ALARM = (
    '  gas_alarm: {place: "Beside the charge can, 0.3 m above the floor", '
    "warns_at_ppm: 200, leaves_at_ppm: 6000}\n"
)
BUND = (
    "  containment:\n    area: 7.2 m2\n    height: 0.18 m\n    roofed: yes\n"
    "    holds: [dryer, reactor, settler, finisher, charge_can, glycerin_drum, recovered_can, fuel_tank]\n"
)
#: An acid step as quillmere could have one: the drum for its acid layer, the line to it.
ACID_STEP = (
    (
        "\nrecipe:", "  drying:",
        "  acid_step: {acid_strength: 96%, highest_ffa: 8%, left_share: 20%, set_point: 55 degC}\n  drying:",
    ),
    (
        "\nvessels:", "\n  dryer:\n",
        """
  acid_drum:
    label: ACID
    name: Acid layer drum
    roles: [acid_waste]
    shape: {kind: vertical_cylinder, diameter: 0.50 m, height: 0.50 m, bottom: flat}
    elevation: 0 m
    material: stainless
    closed: yes
    movable: yes
    vent: {to: outdoors, bore: 25 mm, height_above_ground: 4.0 m, flame_arrester: yes}
    ports:
      top: {height: 0.50 m, space: gas}
    gauge: {kind: dipstick, resolution: 1 L}
    earthed: yes
  dryer:
""",
    ),
    (DRYER, "height_above_ground: 4.0 m", "height_above_ground: 4.0 m, flame_arrester: yes"),
    (REACTOR, "    ports:\n", "    ports:\n      lowest: {height: 0 m}\n"),
    ("    holds:", "[dryer", "[acid_drum, dryer"),
    ("\nvalves:", "valves:\n", 'valves:\n  v30: {label: "30", kind: ball}\n'),
    (
        "\nlines:", "lines:\n",
        "lines:\n  acid_out: {from: reactor.lowest, to: acid_drum.top, valves: [v30]}\n",
    ),
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """``at`` is (anchor, text): the finding stands on the line of the first ``text`` behind ``anchor``."""

    rule: str
    severity: str
    rig: str
    edits: tuple[tuple[str, str, str], ...]
    at: tuple[str, str]
    also: tuple[str, ...] = ()

    def __str__(self) -> str:
        return f"{self.rule}-{self.severity}"


def fills(rule: str, severity: str, rig: str, vessel: str, percent: int) -> Case:
    """A vessel that may be filled less."""
    anchor = f"\n  {vessel}:\n"
    more = f"closed: yes\n    max_fill: {percent} %"
    return Case(rule, severity, rig, ((anchor, "closed: yes", more),), (anchor, f"{vessel}:"))


def swap(rule: str, severity: str, rig: str, anchor: str, old: str, new: str, at: str | None = None) -> Case:
    """One replacement; the finding stands where the new text is, or at ``at`` behind the anchor."""
    return Case(rule, severity, rig, ((anchor, old, new),), (anchor, at or new))


def acid(
    rule: str,
    severity: str,
    anchor: str,
    old: str,
    new: str,
    at: str | None = None,
    also: tuple[str, ...] = (),
) -> Case:
    """One replacement in a quillmere with an acid step, which is sound by itself."""
    return Case(rule, severity, Q, (*ACID_STEP, (anchor, old, new)), (anchor, at or new), also)


POWER = (
    swap("S01", "stop", Q, REACTOR, "top_of_hot_part: 0.36 m", "top_of_hot_part: 0.62 m"),
    swap("S01-cutout", "stop", Q, REACTOR, "low_level_cutout: yes", "low_level_cutout: no"),
    swap("S04", "stop", Q, REACTOR, LIMIT, "", "element:"),
    swap("S04-independent", "stop", Q, REACTOR, "independent: yes", "independent: no"),
    swap("S04-reset", "stop", Q, REACTOR, "manual_reset: yes", "manual_reset: no"),
    swap(
        "S04-setting", "stop", Q, REACTOR, "independent: yes}", "independent: yes, set_point: 63 degC}",
        "high_limit:",
    ),
    swap("S53-water", "warn", Q, "\ncondensers:", "    water_trip: yes\n", "", "k1:"),
    swap("watt-density", "warn", Q, REACTOR, "2.0 W/cm2", "2.4 W/cm2"),
    swap("watt-density-unknown", "note", Q, REACTOR, DENSITY, "", "element:"),
    swap("element-volts", "stop", Q, DRYER, "supply_voltage: 230 V", "supply_voltage: 240 V"),
    swap("circuit-unknown", "note", Q, REACTOR, "        circuit: 16 A\n", "", "element:"),
    swap("circuit-rating", "warn", L, "\n  tank:\n", "circuit: 15 A", "circuit: 11 A"),
    swap("circuit-rating", "note", Q, DRYER, "rated_power: 3 kW", "rated_power: 3.1 kW", "circuit: 16 A"),
    swap("circuit-overload", "stop", L, "\n  tank:\n", "circuit: 15 A", "circuit: 9 A"),
    swap("mains-load", "note", L, "mains:", "circuit: 20 A", "circuit: 12 A"),
    swap("mains-overload", "stop", L, "mains:", "circuit: 20 A", "circuit: 9 A"),
    swap("S53", "stop", Q, "mains:", "residual_current_device: yes", "residual_current_device: no"),
    swap("S53-earth", "stop", Q, DRYER, "earthed: yes", "earthed: no"),
)

ACID_DRUM = "\n  acid_drum:\n"
ACID = (
    acid("S03-acid", "stop", "  acid_step:", "set_point: 55 degC", "set_point: 62 degC"),
    acid("S19-acid", "stop", REACTOR, "material: stainless", "material: steel"),
    acid("S19-acid", "stop", ACID_DRUM, "material: stainless", "material: galvanised"),
    acid("S19-acid", "warn", DRYER, "material: stainless", "material: steel"),
    acid("volume-acid", "stop", ACID_DRUM, "diameter: 0.50 m", "diameter: 0.30 m", "acid_drum:"),
    Case(
        "volume-acid-can", "stop", Q,
        (
            *ACID_STEP,
            ("  acid_step:", "highest_ffa: 8%", "highest_ffa: 12%"),
            (ACID_DRUM, "diameter: 0.50 m", "diameter: 0.60 m"),
        ),
        (CAN, "charge_can:"),
    ),
    acid("volume-acid-rounds", "note", ACID_DRUM, "diameter: 0.50 m", "diameter: 0.42 m", "acid_drum:"),
    acid("acid-range", "stop", "  acid_step:", "highest_ffa: 8%", "highest_ffa: 2.5%"),
    acid(
        "acid-rounds", "stop", "  acid_step:", "left_share: 20%", "left_share: 60%",
        also=("volume-acid-rounds",),
    ),
    Case(
        "volume-acid-charge", "stop", Q,
        (
            *ACID_STEP,
            ("  acid_step:", "highest_ffa: 8%", "highest_ffa: 11%"),
            (ACID_DRUM, "diameter: 0.50 m", "diameter: 0.60 m"),
            (REACTOR, "max_fill: 85 %", "max_fill: 68 %"),
        ),
        (REACTOR, "reactor:"),
    ),
    # After the step the oil holds methanol, so that the drying tank is a methanol vessel.
    acid("S06", "stop", DRYER, "to: outdoors", "to: room"),
    acid("S38", "stop", DRYER, "closed: yes", "closed: no"),
    acid("S11", "stop", DRYER, "material: stainless", "material: plastic", also=("S42",)),
    acid("S06-arrester", "note", DRYER, ", flame_arrester: yes", "", "vent:"),
)

TEMPERATURES = (
    Case(
        "settles-cold", "warn", Q,
        (("  ambient:", "lowest: 4 degC", "lowest: -10 degC"),), ("  settling:", "settling:"),
    ),
    swap("S03", "stop", Q, "  reaction:", "set_point: 54 degC", "set_point: 60 degC"),
    swap("S03-wash", "stop", L, "  washing:", "temperature: 110 degF", "temperature: 138 degF"),
    swap("S03-dry", "warn", L, "  washing:", "dry_set_point: 130 degF", "dry_set_point: 150 degF"),
    swap("S05", "note", L, "  drying:", "set_point: 135 degF", "set_point: 150 degF"),
    Case(
        "vessel-temperature", "stop", Q,
        ((REACTOR, "max_temperature: 90 degC", "max_temperature: 53 degC"),),
        ("  reaction:", "set_point"),
    ),
    swap("pump-temperature", "stop", Q, "\n  p1:\n", "max_temperature: 110 degC", "max_temperature: 80 degC"),
    Case(
        "S03-wall", "warn", Q,
        ((DRYER, "earthed: yes", "earthed: yes\n    shares_wall_with: settler"),),
        ("  drying:", "set_point"),
    ),
    Case(
        "S03-wall", "warn", Q,
        ((CAN, "earthed: yes", "earthed: yes\n    shares_wall_with: finisher"),),
        ("  stripping:", "set_point"),
    ),
    Case(
        "never-reached", "stop", Q,
        ((DRYER, "rated_power: 3 kW", "rated_power: 1 kW"),), ("  drying:", "set_point"),
    ),
    Case(
        "never-reached-cold", "warn", Q,
        ((DRYER, "rated_power: 3 kW", "rated_power: 1.8 kW"),), ("  drying:", "set_point"),
    ),
)  # fmt: skip

VENTS = (
    swap("S06", "stop", Q, REACTOR, VENT, VENT.replace("outdoors", "room")),
    swap("S06-none", "stop", Q, REACTOR, VENT, VENT.replace("outdoors", "none")),
    swap("S06-height", "warn", Q, REACTOR, VENT, VENT.replace("4.0 m", "3.6 m")),
    swap("S06-height-unknown", "warn", Q, REACTOR, ", height_above_ground: 4.0 m", "", "vent:"),
    swap("S06-arrester", "note", Q, REACTOR, ", flame_arrester: yes", "", "vent:"),
    swap("S07", "stop", Q, REACTOR, VENT, VENT.replace("bore", "valved: yes, bore")),
    swap("S08", "stop", Q, REACTOR, "bore: 50 mm", "bore: 16 mm", "vent:"),
    swap("S08-unknown", "warn", Q, REACTOR, "bore: 50 mm, ", "", "vent:"),
    Case(
        "S07-bore", "stop", Q, (("\n  to_reactor:", "valves: [v06], ", "valves: [v06], bore: 60 mm, "),),
        (REACTOR, "vent:"),
    ),
    swap("S38", "stop", Q, REACTOR, "closed: yes", "closed: no"),
    swap("S41", "stop", Q, DRYER, "to: outdoors", "to: none"),
)

MATERIALS = (
    swap("S11", "stop", Q, GLYCERIN, "material: steel", "material: plastic"),
    swap("S11-finished", "warn", Q, FUEL, "material: steel", "material: plastic"),
    Case(
        "S42", "stop", Q, ((SETTLER, "material: stainless", "material: plastic"),),
        (SETTLER, "material: plastic"), also=("S11",),
    ),
    swap("S42", "stop", Q, DRYER, "material: stainless", "material: plastic"),
    swap("S19", "stop", Q, REACTOR, "material: stainless", "material: aluminium"),
    swap("S19", "stop", Q, GLYCERIN, "material: steel", "material: galvanised"),
    swap("S20", "warn", Q, FUEL, "material: steel", "material: brass"),
    swap("S20", "warn", Q, FUEL, "material: steel", "material: galvanised"),
)

FITTINGS = (
    swap("S19-part", "stop", Q, "\n  p1:\n", "label: P1", "label: P1\n    material: aluminium", "material:"),
    swap("S19-part", "stop", Q, "\n  v03:", "kind: ball}", "kind: ball, material: galvanised}", "v03:"),
    swap("S20-part", "warn", Q, "\n  v12:", "kind: ball}", "kind: ball, material: brass}", "v12:"),
    swap("S21", "warn", Q, "\n  methanol_hose:", "fixed:", "material: natural_rubber\n    fixed:"),
    swap("S21", "note", L, "\n  drain_hose:", "fixed:", "material: nitrile\n    fixed:"),
)

IGNITION = (
    Case(
        "S13", "warn", Q, (("\n  methanol_hose:", "fixed:", "bore: 12 mm\n    fixed:"),),
        ("\n  hand_pump:\n", "flow: 10 L/min"),
    ),
    swap("S09", "stop", Q, CAN, "fill: {height: 0.60 m, dip_end: 0.05 m}", "fill: {height: 0.60 m}", "fill:"),
    swap("S10", "stop", Q, CAN, "earthed: yes", "earthed: no"),
    swap("S10", "warn", Q, FUEL, "earthed: yes", "earthed: no"),
    swap("S14", "warn", L, "\n  methoxide_can:\n", CRANK, "", "methoxide_can:"),
    Case(
        "S12", "stop", Q,
        (
            ("\n  hand_pump:\n", "kind: hand", "kind: diaphragm\n    has_relief: yes"),
            ("\n  hand_pump:\n", "rated_for_vapour: yes", "rated_for_vapour: no"),
        ),
        ("\n  hand_pump:\n", "rated_for_vapour: no"),
    ),
    swap("S22", "stop", Q, "\n  p1:\n", "rated_for_vapour: yes", "rated_for_vapour: no"),
    swap("S22", "stop", Q, REACTOR, "terminals_rated_for_vapour: yes", "terminals_rated_for_vapour: no"),
    swap("S22", "stop", Q, CAN, "kind: air, rated_for_vapour: yes", "kind: electric, rated_for_vapour: no"),
    swap("S29", "warn", Q, "\n  v15:", "kind: spring_return", "kind: ball", "\n  dispense:"),
    Case(
        "S29-no-valve", "stop", Q,
        (
            (RECOVERED, "    ports:\n", "    ports:\n      tap: {height: 0 m}\n"),
            ("\nlines:", "lines:\n", "lines:\n  tap: {from: recovered_can.tap, to: open}\n"),
        ),
        ("\nlines:", "  tap:"),
        also=("normal-positions",),
    ),
)  # fmt: skip

SITE = (
    swap("small-cards", "note", Q, "\npaper:", "cards: A4", "cards: A5"),
    swap("S23", "stop", Q, "  room:", "exhaust: 640 m3/h", "exhaust: 400 m3/h"),
    swap("S23", "stop", Q, "  fan:", "flow: 640 m3/h", "flow: 400 m3/h"),
    swap("S23-fan", "stop", Q, "\nsafety:", FAN, "", "safety:"),
    swap("S25", "warn", Q, "  fan:", "draws_low_and_high: yes", "draws_low_and_high: no"),
    swap("S24", "stop", Q, "  gas_alarm:", "leaves_at_ppm: 6000", "leaves_at_ppm: 6100"),
    swap("S24-warns", "warn", Q, "  gas_alarm:", "warns_at_ppm: 200", "warns_at_ppm: 1000"),
    swap("S24-none", "warn", Q, "\nsafety:", ALARM, "", "safety:"),
    swap("S36", "warn", Q, MEOH, "diameter: 0.57 m", "diameter: 0.80 m", "methanol_drum:"),
    swap("S36-site", "stop", Q, MEOH, "diameter: 0.57 m", "diameter: 3.0 m", "methanol_drum:"),
    swap("S45", "note", Q, "site:", "works_alone: no", "works_alone: yes"),
    swap("oil-two-stages", "note", Q, "feedstock:", "highest_titration: 5.0 mL", "highest_titration: 7.0 mL"),
    swap("oil-refused", "stop", Q, "feedstock:", "highest_titration: 5.0 mL", "highest_titration: 11.0 mL"),
    # 5.0 mL of sodium hydroxide titrant stand for 3.9 % free fatty acid, which is another rule's matter.
    Case(
        "titrant-base", "note", Q, (("titrant:", "base: KOH", "base: NaOH"),), ("titrant:", "base: NaOH"),
        also=("oil-two-stages",),
    ),
    swap("S35", "stop", Q, "  containment:", "height: 0.18 m", "height: 0.08 m", "containment:"),
    Case(
        "S35-required", "warn", Q,
        (("\nsite:", "jurisdiction: other", "jurisdiction: england"), ("\nsafety:", BUND, "")),
        ("\nsafety:", "safety:"),
    ),
    swap("S35-none", "note", Q, "\nsafety:", BUND, "", "safety:"),
    swap("S35-outside", "note", Q, "    holds:", "glycerin_drum, ", "", "holds:"),
)  # fmt: skip

EMERGENCY = (
    swap("S46", "stop", Q, "emergency_stop:", ", p2]", "]", "cuts:"),
    swap("S46", "stop", Q, "emergency_stop:", "reactor.element, ", "", "cuts:"),
    swap("S46-latching", "stop", Q, "emergency_stop:", "latching: yes", "latching: no"),
    swap("S46-power", "stop", Q, "emergency_stop:", "power_returns: yes", "power_returns: no"),
    swap("S32", "stop", L, "\nsafety:", "eyewash_place: Post beside the barn door", 'eyewash_place: "None."'),
    swap("no-isolator", "stop", Q, "\nsafety:", ISOLATOR, "isolator_place: n/a"),
    swap("no-spill-kit", "stop", L, "spill_kit_place", "Steel bin by the door", '"no"'),
    swap("no-emergency-stop", "stop", Q, "emergency_stop:", "Red button by the door, inside", "nowhere"),
)

VOLUMES = (
    swap("S26", "stop", Q, REACTOR, "max_fill: 85 %", "max_fill: 60 %", "reactor:"),
    swap("S26", "stop", L, "\n  tank:\n", "max_fill: 85 %", "max_fill: 60 %", "tank:"),
    fills("S26", "stop", Q, "settler", 50),
    fills("S26", "stop", Q, "finisher", 50),
    fills("S26", "stop", Q, "dryer", 60),
    swap("S26-limit", "warn", Q, REACTOR, "max_fill: 85 %", "max_fill: 95 %"),
    fills("volume-glycerin", "stop", Q, "glycerin_drum", 35),
    fills("volume-recovered", "stop", Q, "recovered_can", 20),
    fills("volume-methoxide", "stop", Q, "charge_can", 60),
    fills("volume-fuel", "stop", Q, "fuel_tank", 20),
    fills("volume-oil", "note", Q, "oil_drum", 50),
    fills("volume-wash", "stop", L, "wash_drum", 10),
    fills("volume-washes", "note", L, "wash_drum", 50),
    swap(
        "S37", "warn", Q, GLYCERIN, "    gauge: {kind: sight_tube, resolution: 1 L}\n", "", "glycerin_drum:"
    ),
)

FINISH = (
    swap("soap-to-tower", "warn", Q, "  washing:", "soap_in_ppm: 1400", "soap_in_ppm: 9000"),
    Case(
        "adsorbent-short", "warn", Q,
        (
            (TOWER, "kind: resin_tower", "kind: adsorbent_tower"),
            (TOWER, "capacity_eq_per_l: 1.8", "adsorbent: 4 kg\n    soap_uptake: 5 %"),
        ),
        (TOWER, "adsorbent: 4 kg"),
    ),
    swap("washed-methanol", "warn", L, "  washing:", "washes: 4", "washes: 2", "method: water"),
    Case(
        "washed-methanol", "stop", L,
        (("  washing:", "washes: 4", "washes: 1"), ("  washing:", "share: 20 %", "share: 5 %")),
        ("  washing:", "method: water"),
    ),
    swap("methanol-scarce", "warn", Q, "  methanol: {", "percent: 22 %", "percent: 17 %", "methanol:"),
    swap("settling-short", "warn", Q, "  settling:", "time: 8 h", "time: 3 h"),
    acid(
        "settling-short", "warn", "  acid_step:", "set_point: 55 degC}", "set_point: 55 degC, settling: 2 h}",
        "settling",
    ),
    swap("differential-wide", "warn", Q, REACTOR, "differential: 2 K", "differential: 9 K", "differential"),
    Case(
        "own-value-idle", "note", Q, (("\nrecipe:", "recipe:", "own_values: {wash_rest: 2 h}\nrecipe:"),),
        ("\nown_values:", "wash_rest"),
    ),
)  # fmt: skip

SHAPES = (
    Case(
        "no-drain", "warn", Q,
        (
            (FUEL, "drain: {height: 0.03 m}", "drain: {height: 0.12 m}"),
            (FUEL, ", dip_end: 0.05 m", ""),
        ),
        (FUEL, "ports:"),
    ),
    Case(
        "capacity", "warn", Q,
        ((REACTOR, "closed: yes", "closed: yes\n    capacity: 300 L"),), (REACTOR, "capacity: 300 L"),
    ),
    swap("port-above-top", "stop", Q, REACTOR, "again: {height: 1.02 m", "again: {height: 1.30 m"),
    swap("dip-pipe-up", "stop", Q, FUEL, "height: 0.70 m, dip_end", "height: 0.04 m, dip_end"),
    swap("heel-glycerin", "warn", Q, SETTLER, DRAIN, "drain: {height: 0.30 m}"),
    swap("heel-glycerin", "stop", Q, SETTLER, DRAIN, "drain: {height: 0.33 m}"),
    swap("heel-large", "note", Q, DRYER, "height: 0.05 m", "height: 0.25 m"),
    swap("label-twice", "stop", Q, "\nvalves:", "label: SR", "label: s1"),
)  # fmt: skip

RELIEF = (
    swap("S51", "warn", Q, "\n  v05:", ", normal: open", "", "\n  dryer_out:"),
    swap("S51", "warn", Q, "\n  v13:", ", normal: open", "", "\n  to_tower:"),
    swap("S51", "warn", L, "\n  v5:", ", normal: open", "", "\n  tank_out:"),
    swap("S51", "warn", Q, "\n  can_throttle:", "normal: open, ", "", "\n  methoxide_in:"),
)

PUMPS = (
    swap("S39", "stop", Q, "\n  p2:\n", "kind: centrifugal", "kind: gear", "p2:"),
    swap("suction-head", "warn", Q, "\n  p1:\n", "elevation: 0.15 m", "elevation: 3.6 m"),
    swap("priming", "warn", Q, "\n  p2:\n", "elevation: 0.15 m", "elevation: 0.80 m", "p2:"),
    swap("S50", "stop", Q, "\n  tower:\n", "rated_pressure: 200 kPa", "rated_pressure: 110 kPa"),
    swap("S50-unknown", "warn", Q, "\n  tower:\n", "    rated_pressure: 200 kPa\n", "", "tower:"),
    swap("S50-unknown", "warn", Q, "\n  p2:\n", "    shut_off_pressure: 120 kPa\n", "", "p2:"),
    swap("tower-flow", "stop", Q, "\n  to_tower:", "flow: 75 L/h", "flow: 80 L/h"),
    swap("tower-unrestricted", "stop", Q, "\n  to_tower:", ", restrictor: {flow: 75 L/h}", "", "\n  tower:"),
)

LINE_UPS = (
    Case(
        "route-unused", "note", Q,
        (
            (
                "\ncondensers:", "condensers:",
                "routes:\n  - {from: dryer, to: fuel_tank, via: [to_dryer]}\n\ncondensers:",
            ),
        ),
        ("\nroutes:", "- {from: dryer"),
    ),
    swap("methoxide-backflow", "stop", Q, CAN, "elevation: 1.50 m", "elevation: 1.30 m"),
    swap("methoxide-backflow", "stop", Q, CAN, "elevation: 1.50 m", "elevation: 0 m"),
    Case(
        "line-up-missing", "stop", L,
        (("\n  methanol_hose:", "[methoxide_can.fill, ", "[wash_drum.top, "),),
        ("\nvessels:", "methanol_drum:"),
    ),
    Case(
        "valve-unused", "note", Q,
        (
            (RECOVERED, "    ports:\n", "    ports:\n      tap: {height: 0 m}\n"),
            ("\nvalves:", "valves:\n", 'valves:\n  v16: {label: "16", kind: spring_return}\n'),
            ("\nlines:", "lines:\n", "lines:\n  tap: {from: recovered_can.tap, to: open, valves: [v16]}\n"),
        ),
        ("\nvalves:", "v16:"),
    ),
    Case(
        "normal-positions", "stop", Q,
        (
            ("\n  v02:", "kind: ball}", "kind: ball, normal: open}"),
            ("\n  v03:", "kind: ball}", "kind: ball, normal: open}"),
        ),
        ("\nlines:", "dryer_out:"),
    ),
)  # fmt: skip

TANK, CONDENSER = "\n  tank:\n", "\n  condenser:\n"
VACUUM = (
    swap("vacuum-rating", "stop", W, TANK, "    rated_for_vacuum: yes\n", "", "tank:"),
    swap(
        "vacuum-collector",
        "stop",
        W,
        RECOVERED,
        "vent: {to: condenser, condenser: condenser, bore: 25 mm}",
        "vent: {to: outdoors, bore: 25 mm, height_above_ground: 4.0 m, flame_arrester: yes}",
        "to: outdoors",
    ),
    swap("vacuum-unrated", "stop", W, CONDENSER, "rated_for_vapour: yes", "rated_for_vapour: no"),
    Case(
        "vacuum-depth",
        "stop",
        W,
        ((CONDENSER, "lowest_pressure: 8 kPa", "lowest_pressure: 25 kPa"),),
        ("\n  stripping:\n", "vacuum: {pressure"),
    ),
    swap("vacuum-water", "warn", W, "    vacuum: {", "pressure: 20 kPa", "pressure: 12 kPa"),
    swap("S46", "stop", W, "cuts:", ", condenser.vacuum", "", "cuts:"),
)

ACCEPTED = """accepted:
  - rule: {rule}
    where: {where}
    reason: Bought new; replaced when it fails
    by: Plant keeper
    until: {until}

vessels:"""


def accepts(rule: str, where: str, until: str = "9999-12-31") -> tuple[str, str, str]:
    """The edit that accepts a rule at a piece of equipment."""
    return ("\nvessels:", "vessels:", ACCEPTED.format(rule=rule, where=where, until=until))


PLASTIC_CAN = (CAN, "material: stainless", "material: plastic")
DENSE_ELEMENT = (REACTOR, "2.0 W/cm2", "2.4 W/cm2")
OWNER = (
    Case(
        "accepted-over", "warn", Q, (PLASTIC_CAN, accepts("S11", "charge_can", "2020-01-31")),
        ("\naccepted:", "until:"), also=("S11",),
    ),
    Case(
        "accepted-never", "warn", Q,
        ((REACTOR, "top_of_hot_part: 0.36 m", "top_of_hot_part: 0.62 m"), accepts("S01", "reactor.element")),
        ("\naccepted:", "rule: S01"), also=("S01",),
    ),
    Case(
        "accepted-unknown", "warn", Q, (accepts("S1", "charge_can"),), ("\naccepted:", "rule: S1"),
    ),
    Case(
        "accepted-unused", "note", Q, (accepts("S11", "charge_can"),), ("\naccepted:", "- rule: S11"),
    ),
)  # fmt: skip

CASES = (
    *OWNER, *POWER, *ACID, *TEMPERATURES, *VENTS, *MATERIALS, *FITTINGS, *IGNITION, *SITE,
    *EMERGENCY, *VOLUMES, *FINISH, *SHAPES, *RELIEF, *PUMPS, *LINE_UPS, *VACUUM,
)  # fmt: skip
