"""Loss coefficients of tank shells, for rigs whose own was never measured."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

Site = Literal["sheltered", "exposed"]
Shell = Literal["bare", "insulated"]

# W/m2K on the whole shell, contents at 38 °C, the warmest column published.
_LOSS: Final[Mapping[tuple[Site, Shell], float]] = {
    ("sheltered", "bare"): 8.0,
    ("sheltered", "insulated"): 2.0,
    ("exposed", "bare"): 9.0,
    ("exposed", "insulated"): 2.3,
}


def shell_loss_w_m2k(site: Site, shell: Shell) -> float:
    """Loss coefficient of a tank's shell, wetted and dry parts alike.

    Equation: table.
    Args:
        site: indoors or behind walls, or in the open wind [sheltered or exposed].
        shell: whether the shell is insulated [bare or insulated].
    Returns: loss coefficient [W/m2K], for contents at about 38 °C. At 55 °C a painted bare wall in still air
        comes to 10.8 and a bright one to 6.8 (library-computed: ht).
    Source: published; Engineering ToolBox, Oil Filled Tanks - Heat Loss.
    """
    return _LOSS[site, shell]
