"""Loss coefficients of tank shells, for rigs whose own was never measured."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final, Literal

from generator.chemistry.boiling import ICE_POINT_K
from generator.chemistry.ranges import fractions, positive, within

Site = Literal["sheltered", "exposed"]
Shell = Literal["bare", "insulated"]
Finish = Literal["stainless", "metal", "other"]

_GRAVITY_M_S2: Final = 9.80665
_STEFAN_W_M2K4: Final = 5.670374419e-8  # W/m2K4

#: Least and greatest emissivity of a wall, from clean to dulled by heat and oil: stainless steel; zinc,
#: aluminium and copper; paint, rust and plastic (from memory, handbook values).
EMISSIVITY: Final[Mapping[Finish, tuple[float, float]]] = {
    "stainless": (0.3, 0.6),
    "metal": (0.05, 0.8),
    "other": (0.8, 0.95),
}
# A low wall loses more than a high one, by 5 % from 0.5 to 2 m.
_ROOM_C: Final = 20.0
_LOW_WALL_M: Final = 0.5
_HIGH_WALL_M: Final = 2.0

# W/m2K on the whole shell, contents at 38 °C, the warmest column published.
_LOSS_W_M2K: Final[Mapping[tuple[Site, Shell], float]] = {
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
    Returns: loss coefficient [W/m2K], for contents at about 38 °C. A hotter bare wall loses more: see the
        most and the least for bare vessels.
    Source: published; Engineering ToolBox, Oil Filled Tanks - Heat Loss.
    """
    return _LOSS_W_M2K[site, shell]


def bare_loss_most_w_m2k(site: Site, finish: Finish, wall_c: float) -> float:
    """Most that a bare vessel is taken to lose while it is heated: a low, dull wall at its hottest.

    Equation: the larger of the table's coefficient and that of a wall 0.5 m high in air of 20 °C with the
    greatest emissivity of its finish; in the wind more by the table's own ratio.
    Args:
        site: indoors or behind walls, or in the open wind [sheltered or exposed].
        finish: what the wall's outside is [stainless, metal or other].
        wall_c: hottest temperature it is heated to [°C], above 20 to 120.
    Returns: loss coefficient [W/m2K].
    Source: published; Churchill and Chu (1975) with Stefan-Boltzmann, and Engineering ToolBox, Oil Filled
        Tanks - Heat Loss. Emissivities from memory, handbook values.
    """
    wind = _LOSS_W_M2K[site, "bare"] / _LOSS_W_M2K["sheltered", "bare"]
    still = bare_wall_loss_w_m2k(wall_c, _ROOM_C, _LOW_WALL_M, EMISSIVITY[finish][1])
    return max(_LOSS_W_M2K[site, "bare"], wind * still)


def bare_loss_least_w_m2k(finish: Finish, wall_c: float) -> float:
    """Least that a bare vessel is taken to lose while one waits for it to cool: a high, clean wall.

    Equation: the smaller of the sheltered table's coefficient and that of a wall 2 m high in air of 20 °C
    with the least emissivity of its finish.
    Args:
        finish: what the wall's outside is [stainless, metal or other].
        wall_c: temperature waited for [°C], above 20 to 120.
    Returns: loss coefficient [W/m2K].
    Source: published; Churchill and Chu (1975) with Stefan-Boltzmann, and Engineering ToolBox, Oil Filled
        Tanks - Heat Loss. Emissivities from memory, handbook values.
    """
    still = bare_wall_loss_w_m2k(wall_c, _ROOM_C, _HIGH_WALL_M, EMISSIVITY[finish][0])
    return min(_LOSS_W_M2K["sheltered", "bare"], still)


def insulated_loss_w_m2k(thickness_m: float, conductivity_w_mk: float, surface_w_m2k: float) -> float:
    """Loss coefficient of a wall behind insulation without bridges; published "insulated" is twice as bad.

    Equation: U = 1 / (s / k + 1 / h).
    Args:
        thickness_m: thickness of the insulation [m], 0 to 0.5.
        conductivity_w_mk: its thermal conductivity [W/mK], 0.01 to 1; mineral wool 0.040.
        surface_w_m2k: loss coefficient of its outside [W/m2K], above 0; 8 indoors.
    Returns: loss coefficient [W/m2K].
    Source: derived; resistances in series.
    """
    within("thickness_m", thickness_m, 0.0, 0.5)
    within("conductivity_w_mk", conductivity_w_mk, 0.01, 1.0)
    positive(surface_w_m2k=surface_w_m2k)
    return 1.0 / (thickness_m / conductivity_w_mk + 1.0 / surface_w_m2k)


def bare_wall_loss_w_m2k(wall_c: float, ambient_c: float, height_m: float, emissivity: float) -> float:
    """Loss coefficient of a bare upright wall in still air: convection and radiation.

    Equation: Nu = {0.825 + 0.387 Ra^(1/6) / [1 + (0.492/Pr)^(9/16)]^(8/27)}^2, h = Nu k / H with air at the
    mean temperature; plus e sigma (Tw^4 - Ta^4) / (Tw - Ta).
    Args:
        wall_c: temperature of the wall [°C], above ambient_c to 120.
        ambient_c: temperature of air and surroundings [°C], 0 to 40.
        height_m: height of the wall [m], 0.1 to 5.
        emissivity: emissivity of its surface [fraction], 0 to 1; paint 0.9, bright stainless steel 0.3.
    Returns: loss coefficient [W/m2K].
    Source: published; Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323, and Stefan-Boltzmann; air
        library-computed, CoolProp.
    """
    within("ambient_c", ambient_c, 0.0, 40.0)
    within("wall_c", wall_c, math.nextafter(ambient_c, 120.0), 120.0)
    within("height_m", height_m, 0.1, 5.0)
    fractions(emissivity=emissivity)
    film_c = 0.5 * (wall_c + ambient_c)
    kinematic = 1.33135890e-5 + 8.79936650e-8 * film_c + 1.03886525e-10 * film_c**2
    conductivity = 2.43623822e-2 + 7.62634829e-5 * film_c - 3.70645822e-8 * film_c**2
    prandtl = 0.710818325 - 1.52011952e-4 * film_c + 4.66742090e-7 * film_c**2
    step = wall_c - ambient_c
    rayleigh = _GRAVITY_M_S2 / (film_c + ICE_POINT_K) * step * height_m**3 * prandtl / kinematic**2
    nusselt = (0.825 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.492 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    wall_k, air_k = wall_c + ICE_POINT_K, ambient_c + ICE_POINT_K
    radiation = emissivity * _STEFAN_W_M2K4 * (wall_k**2 + air_k**2) * (wall_k + air_k)
    return float(nusselt * conductivity / height_m + radiation)
