"""How fast drops of glycerin fall: a table of sizes and temperatures."""

from __future__ import annotations

from typing import Final

from generator.chemistry import settling
from generator.figures.basis import Basis, Inputs

#: Drop sizes and temperatures of the table, µm and °C.
DROPS_UM: Final = (50, 100, 200)
WARM_C: Final = (20, 40, 55)


def subject(drop_um: int, warm_c: int) -> str:
    """What a figure of the table is about: `drop_100_at_40`."""
    return f"drop_{drop_um}_at_{warm_c}"


def add(basis: Basis) -> None:
    """Time for each drop to fall through the charge in the settling tank."""
    tank = basis.plant.with_role("settle")
    height = basis.book.get(f"{tank.id}.charge_mark_level") if tank is not None else None
    if height is None:
        return
    difference = basis.given("layer_difference")
    drops = [drop * 1e-6 for drop in DROPS_UM]
    rows = settling.settling_table(drops, WARM_C, difference.value, height.value)
    pairs = [(drop, warm) for drop in DROPS_UM for warm in WARM_C]
    for (drop, warm), row in zip(pairs, rows, strict=True):
        inputs: Inputs = {
            "d": (row.drop_m, "drop_size"),
            "T": (row.temperature_c, "temperature"),
            "H": height,
            "Δρ": difference,
        }
        basis.book.add("drop_time", row.time_s, "time", inputs, subject=subject(drop, warm))
