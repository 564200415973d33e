"""What an owner may accept, and acceptances that hold for nothing."""

from __future__ import annotations

from .rows import CAN, REACTOR, Case, Q

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
