"""Electric immersion elements: power on another voltage, watt density, cover, sheath temperature."""

from __future__ import annotations

import math
from typing import Final

from generator.chemistry.ranges import interpolated, not_negative, positive, within

#: Least liquid over the highest hot part (common practice, no source).
ELEMENT_COVER_M: Final = 0.075
#: Highest watt density for an element in oil, 15 W/in2 (common practice, no source).
OIL_WATT_DENSITY_W_M2: Final = 23_250.0

_PER_IN2_W_M2: Final = 1.0 / 0.0254**2
# Sheath temperature of an 8.5 mm rod against watt density in W/in2, still oil at 55 °C and dry in air.
_IN_OIL: Final = ((5.0, 97.0), (10.0, 124.0), (15.0, 147.0), (20.0, 168.0), (30.0, 205.0), (60.0, 294.0))
_DRY: Final = ((5.0, 274.0), (10.0, 401.0), (15.0, 489.0), (20.0, 558.0), (30.0, 664.0), (60.0, 868.0))
#: Least and greatest watt density for which sheath temperatures were computed.
LEAST_WATT_DENSITY_W_M2: Final = _IN_OIL[0][0] * _PER_IN2_W_M2
MOST_WATT_DENSITY_W_M2: Final = _IN_OIL[-1][0] * _PER_IN2_W_M2


def element_power_w(rated_power_w: float, rated_voltage_v: float, voltage_v: float) -> float:
    """Power of a resistance element run on a voltage other than its rated one: half the volts, a quarter
    the power.

    Equation: P = P_rated (V / V_rated)^2.
    Args:
        rated_power_w: power on the rating plate [W], above 0.
        rated_voltage_v: voltage on the rating plate [V], above 0.
        voltage_v: voltage it is run on [V], above 0.
    Returns: power [W]; above the rated voltage it is more than the element was made for.
    Source: derived; Ohm's law with constant resistance.
    """
    positive(rated_power_w=rated_power_w, rated_voltage_v=rated_voltage_v, voltage_v=voltage_v)
    return rated_power_w * (voltage_v / rated_voltage_v) ** 2


def watt_density_w_m2(power_w: float, diameter_m: float, heated_length_m: float) -> float:
    """Power per surface of a rod element.

    Equation: w = P / (pi d L).
    Args:
        power_w: power it is run at [W], above 0.
        diameter_m: sheath diameter [m], above 0.
        heated_length_m: length of the hot part, both legs of a hairpin counted [m], above 0.
    Returns: watt density [W/m2]; 1 W/in2 = 1550 W/m2.
    Source: derived; surface of a cylinder.
    """
    positive(power_w=power_w, diameter_m=diameter_m, heated_length_m=heated_length_m)
    return power_w / (math.pi * diameter_m * heated_length_m)


def cover_level_m(element_top_m: float, cover_m: float) -> float:
    """Lowest liquid level at which an element may be switched on.

    Equation: h = h_top + cover.
    Args:
        element_top_m: height of the highest hot part above the level's zero [m], 0 or more.
        cover_m: liquid over it for the worst tilt, foam and drain-down [m], 0.05 or more.
    Returns: level [m].
    Source: common practice, no source; 75 mm of cover.
    """
    not_negative(element_top_m=element_top_m)
    within("cover_m", cover_m, 0.05, math.inf)
    return element_top_m + cover_m


def sheath_in_oil_c(watt_density_w_m2: float) -> float:
    """Sheath temperature of an element in still oil at 55 °C.

    Equation: linear interpolation of computed points.
    Args:
        watt_density_w_m2: power per surface [W/m2], 7750 to 93000 (5 to 60 W/in2).
    Returns: sheath temperature [°C], within about 15 %.
    Source: library-computed; ht, Nusselt number of a horizontal cylinder, 8.5 mm rod.
    """
    return interpolated("watt_density (W/in2)", watt_density_w_m2 / _PER_IN2_W_M2, _IN_OIL)


def sheath_dry_c(watt_density_w_m2: float) -> float:
    """Sheath temperature of an element that stands dry in air; from about 10 W/in2 it can ignite methanol
    vapour.

    Equation: linear interpolation of computed points.
    Args:
        watt_density_w_m2: power per surface [W/m2], 7750 to 93000 (5 to 60 W/in2).
    Returns: sheath temperature [°C], within about 15 %. Methanol ignites by itself at 385 °C (NFPA 497) to
        440 °C (IEC 60079-20-1).
    Source: library-computed; ht, Nusselt number of a horizontal cylinder, 8.5 mm rod, emissivity 0.8.
    """
    return interpolated("watt_density (W/in2)", watt_density_w_m2 / _PER_IN2_W_M2, _DRY)
