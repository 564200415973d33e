"""An acid step as a rig could have one, and what can be wrong with it."""

from __future__ import annotations

from .rows import CAN, DRYER, REACTOR, Case, Q

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


ACID_DRUM = "\n  acid_drum:\n"
ACID = (
    acid("S03-acid", "stop", "  acid_step:", "set_point: 55 degC", "set_point: 62 degC"),
    acid("S19-acid", "stop", REACTOR, "material: stainless", "material: steel"),
    acid("S19-acid", "stop", ACID_DRUM, "material: stainless", "material: galvanised"),
    acid("S19-acid", "warn", DRYER, "material: stainless", "material: steel"),
    acid("volume-acid", "stop", ACID_DRUM, "diameter: 0.50 m", "diameter: 0.30 m", "acid_drum:"),
    Case(
        "volume-acid-can",
        "stop",
        Q,
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
        "acid-rounds",
        "stop",
        "  acid_step:",
        "left_share: 20%",
        "left_share: 60%",
        also=("volume-acid-rounds",),
    ),
    Case(
        "volume-acid-charge",
        "stop",
        Q,
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
    acid(
        "settling-short",
        "warn",
        "  acid_step:",
        "set_point: 55 degC}",
        "set_point: 55 degC, settling: 2 h}",
        "settling",
    ),
)
