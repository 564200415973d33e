"""Refusing values outside the range in which a formula holds."""

from __future__ import annotations

import math
from itertools import pairwise


class OutOfRange(ValueError):
    """A value outside the range a formula is valid for; carries the argument's name, value and both
    limits.
    """

    def __init__(self, argument: str, value: float, lowest: float, highest: float) -> None:
        self.argument = argument
        self.value = value
        self.lowest = lowest
        self.highest = highest
        super().__init__(f"{argument} = {value:g} is outside {lowest:g} to {highest:g}")


def within(argument: str, value: float, lowest: float, highest: float) -> float:
    """Give the value back if lowest <= value <= highest, else raise ``OutOfRange``; NaN and infinity never
    pass.

    Args:
        argument: name to report [text].
        value: the value to check [unit of the argument].
        lowest: least value allowed [same unit].
        highest: greatest value allowed, may be infinite for "no upper limit" [same unit].
    Returns: the value, unchanged [same unit].
    Source: derived; a comparison.
    """
    if not (math.isfinite(value) and lowest <= value <= highest):
        raise OutOfRange(argument, value, lowest, highest)
    return value


def positive(**values: float) -> None:
    """Raise ``OutOfRange`` for the first value that is not finite and greater than zero.

    Args:
        values: named values to check [each in its own unit].
    Returns: nothing [none].
    Source: derived; a comparison.
    """
    for name, value in values.items():
        within(name, value, math.ulp(0.0), math.inf)


def not_negative(**values: float) -> None:
    """Raise ``OutOfRange`` for the first value that is negative or not finite.

    Args:
        values: named values to check [each in its own unit].
    Returns: nothing [none].
    Source: derived; a comparison.
    """
    for name, value in values.items():
        within(name, value, 0.0, math.inf)


def fractions(**values: float) -> None:
    """Raise ``OutOfRange`` for the first value that is not between 0 and 1.

    Args:
        values: named fractions to check [fraction].
    Returns: nothing [none].
    Source: derived; a comparison.
    """
    for name, value in values.items():
        within(name, value, 0.0, 1.0)


def interpolated(argument: str, value: float, points: tuple[tuple[float, float], ...]) -> float:
    """Straight line between the neighbouring points of a table; outside the table ``OutOfRange``.

    Equation: y = y0 + (y1 - y0) (x - x0) / (x1 - x0).
    Args:
        argument: name to report if outside [text].
        value: x [unit of the table's first column].
        points: (x, y) pairs with x rising, at least two [units of the table].
    Returns: y [unit of the table's second column].
    Source: derived; linear interpolation.
    """
    within(argument, value, points[0][0], points[-1][0])
    for (x0, y0), (x1, y1) in pairwise(points):
        if value <= x1:
            return y0 + (y1 - y0) * (value - x0) / (x1 - x0)
    return points[-1][1]
