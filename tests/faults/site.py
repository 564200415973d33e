"""The place, the people, and what must be at hand."""

from __future__ import annotations

from .rows import MEOH, Case, L, Q, W, swap

ISOLATOR = "isolator_place: Grey isolator on the outside wall, left of the door"
FAN = "  fan: {label: F, switch_place: Outside wall by the door, flow: 640 m3/h, draws_low_and_high: yes}\n"
ALARM = (
    '  gas_alarm: {place: "Beside the charge can, 0.3 m above the floor", '
    "warns_at_ppm: 200, leaves_at_ppm: 6000}\n"
)
BUND = (
    "  containment:\n    area: 7.2 m2\n    height: 0.18 m\n    roofed: yes\n"
    "    holds: [dryer, reactor, settler, finisher, charge_can, glycerin_drum, recovered_can, fuel_tank]\n"
)
ROOM = "  room: {floor_area: 24 m2, volume: 66 m3, exhaust: 200 m3/h}"
SMALL_BUND_W = (
    "  containment:\n    area: 3.0 m2\n    height: 0.15 m\n    roofed: yes\n"
    "    holds: [tank, mixing_can, glycerin_drum, methanol_drum, recovered_can, fuel_tote, water_tote]\n"
)
SMALL_BUND_L = (
    "  containment:\n    area: 20 ft2\n    height: 4 in\n    roofed: yes\n"
    "    holds: [tank, methoxide_can, methanol_drum, glycerin_can, wash_drum, fuel_drum]\n"
)
PLACES_W = "  isolator_place: Isolator on the barn wall, outside the shed\n"
PLACES_L = "  isolator_place: Main disconnect on the outside of the barn, road side\n"


def alarm_of(warns_at_ppm: int, leaves_at_ppm: int) -> str:
    """A gas alarm where a rig has none."""
    return f"  gas_alarm: {{place: Post, warns_at_ppm: {warns_at_ppm}, leaves_at_ppm: {leaves_at_ppm}}}\n"


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
    swap("S23", "stop", Q, "  room:", "floor_area: 24 m2", "floor_area: 60 m2"),
    Case(
        "S23", "stop", W, (("\nsite:", "placement: open_shed", "placement: indoors\n" + ROOM),),
        ("\nsite:", "room:"), also=("S23-fan", "S24-none"),
    ),
    swap("S24", "stop", W, "\nsafety:", PLACES_W, alarm_of(200, 8000) + PLACES_W, "gas_alarm:"),
    swap("S24-warns", "warn", L, "\nsafety:", PLACES_L, alarm_of(900, 6000) + PLACES_L, "gas_alarm:"),
    swap("S36", "warn", W, MEOH, "diameter: 0.57 m", "diameter: 0.85 m", "methanol_drum:"),
    swap("S36", "warn", L, MEOH, "diameter: 22.5 in", "diameter: 32 in", "methanol_drum:"),
    swap("S36-site", "stop", W, MEOH, "diameter: 0.57 m", "diameter: 3.5 m", "methanol_drum:"),
    swap("S45", "note", W, "site:", "works_alone: no", "works_alone: yes"),
    swap("oil-refused", "stop", W, "feedstock:", "highest_titration: 4.0 mL", "highest_titration: 12 mL"),
    swap("oil-refused", "stop", L, "feedstock:", "highest_titration: 3.0 mL", "highest_titration: 9.0 mL"),
    swap("S35", "stop", W, "\nsafety:", PLACES_W, SMALL_BUND_W + PLACES_W, "containment:"),
    swap("S35", "stop", L, "\nsafety:", PLACES_L, SMALL_BUND_L + PLACES_L, "containment:"),
    Case(
        "S35-required", "warn", W, (("\nsite:", "jurisdiction: other", "jurisdiction: england"),),
        ("\nsafety:", "safety:"),
    ),
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
    swap("S46", "stop", W, "cuts:", "pump, ", "", "cuts:"),
    swap("S46", "stop", L, "cuts:", "tank.element, ", "", "cuts:"),
    swap("S46-latching", "stop", W, "emergency_stop:", "latching: yes", "latching: no"),
    swap("S46-power", "stop", L, "emergency_stop:", "power_returns: yes", "power_returns: no"),
    swap("S32", "stop", W, "\nsafety:", "eyewash_place: Tap post by the shed", "eyewash_place: none"),
    swap("S32", "stop", Q, "\nsafety:", "eyewash_place: Beside the door, left", 'eyewash_place: "-"'),
    swap("no-isolator", "stop", L, "\nsafety:", PLACES_L, "  isolator_place: unknown\n"),
    swap("no-spill-kit", "stop", W, "spill_kit_place", "Lidded bin beside the wash water tote", "TODO"),
    swap("no-emergency-stop", "stop", W, "emergency_stop:", "Red button on the shed post, lane side", "none"),
)

PLACE = (*SITE, *EMERGENCY)
