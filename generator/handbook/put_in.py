"""A formula with the numbers put in, for whoever wants to work it out again; always in metric units.

A line is made only where the formula is plain arithmetic on the figure's own inputs and known constants, and
where working it out with the numbers shown gives the figure. Any other formula (a shape, a table, an equation
to be solved) has none.
"""

from __future__ import annotations

import ast
import math
import operator
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Final

from generator import quantities
from generator.chemistry import species
from generator.figures.record import Figure

#: Significant digits of what goes in and of what comes out.
DIGITS_IN, DIGITS_OUT = 5, 4
#: What the result may differ by, as a share of it: what rounding to so many digits leaves.
NEAR: Final = 2e-3

_CHOICE = re.compile(r"the (smaller|lower|larger|longest) of (.+)")
_CHOOSE: Final[Mapping[str, Callable[..., float]]] = {
    "smaller": min,
    "lower": min,
    "larger": max,
    "longest": max,
}
# Units beside a number of the formula itself; figures count inside in the units of these.
_UNITS: Final[Mapping[str, float]] = {
    "°C": 1.0,
    "kg/m³": 1.0,
    "bar": 1e5,
    "mg/g": 1.0,
    "mL": 1.0,
    "s": 1.0,
    "ppm": 1e-6,
    "%": 0.01,
    "W/(m·K)": 1.0,
    "W/(m²·K)": 1.0,
}
_UNIT = re.compile(r"([0-9.]+|\)) (" + "|".join(map(re.escape, sorted(_UNITS, key=len, reverse=True))) + r")")
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", "0123456789-")
_POWER = re.compile(r"[⁰¹²³⁴⁵⁶⁷⁸⁹⁻]+")
_FUNCTIONS: Final[Mapping[str, Callable[[float], float]]] = {
    "ln": math.log,
    "log10": math.log10,
    "exp": math.exp,
}
_OPERATORS: Final[Mapping[type[ast.operator], Callable[[float, float], float]]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}


Constants = Mapping[str, tuple[float, str]]


def constants(base: species.Base) -> Constants:
    """Symbols that stand for the same number in every formula of a plant: the number, and as printed."""
    molar = {
        "M_soap": species.SOAP_KG_KMOL[base],
        "M_base": species.BASE_KG_KMOL[base],
        "M_KOH": species.BASE_KG_KMOL["KOH"],
        "M_oleic": species.OLEIC_ACID_KG_KMOL,
        "M_W": species.WATER_KG_KMOL,
        "M_water": species.WATER_KG_KMOL,
        "M_M": species.METHANOL_KG_KMOL,
        "M": species.METHANOL_KG_KMOL,
    }
    known = {symbol: (value, f"{value:.2f} g/mol") for symbol, value in molar.items()}
    return known | {"g": (9.80665, "9.80665 m/s²"), "R": (8314.46, "8.31446 J/(mol·K)")}


def put_in(figure: Figure, known: Constants) -> str:
    """`V_M = 22 % × 180 L = 39.6 L`, or nothing where the formula is no plain arithmetic."""
    left, _, right = figure.formula.partition(" = ")
    own = {part.symbol: part for part in figure.inputs}
    right = _without_remarks(right, set(own))
    values = {symbol: value for symbol, (value, _) in known.items()}
    values |= {symbol: _rounded(part.value) for symbol, part in own.items()}
    result = _worked_out(right, values) if own else None
    if result is None or not _same(result, figure.value):
        return ""
    shown = {symbol: text for symbol, (_, text) in known.items()}
    shown |= {s: quantities.precise(part.value, part.quantity, DIGITS_IN) for s, part in own.items()}
    if right not in own:
        shown = {s: f"({text})" if "/" in text or text[0] == "−" else text for s, text in shown.items()}
    filled = _symbols(shown).sub(lambda m: shown[m[0]], right)
    return f"{left} = {filled} = {quantities.precise(figure.value, figure.quantity, DIGITS_OUT)}"


def _rounded(value: float) -> float:
    """The number as it is shown, so that what is worked out is what a reader works out."""
    return float(f"{value:.{DIGITS_IN}g}")


def _symbols(names: Iterable[str]) -> re.Pattern[str]:
    """All of the symbols, each where it stands by itself: the g of `1000 mg/g` is a unit, no symbol."""
    longest_first = "|".join(map(re.escape, sorted(names, key=len, reverse=True)))
    return re.compile(rf"(?<![\w°/])(?:{longest_first})(?![\w(/])(?!,\w)")


def _without_remarks(right: str, symbols: set[str]) -> str:
    """The formula up to its first remark; of a sum, only the parts that this plant has."""
    body, *remarks = right.split(", ") if not _CHOICE.match(right) else [right]
    if any(remark.startswith("as far as each") for remark in remarks):
        return " + ".join(part for part in body.split(" + ") if part in symbols)
    return body


def _worked_out(right: str, values: Mapping[str, float]) -> float | None:
    """The number that a formula comes to, inside units; None where it is not plain arithmetic."""
    choice = _CHOICE.fullmatch(right)
    if choice:
        parts = [_worked_out(part, values) for part in re.split(", | and ", choice[2])]
        known = [part for part in parts if part is not None]
        return _CHOOSE[choice[1]](known) if len(known) == len(parts) else None
    text = _UNIT.sub(_scaled, right).replace("e^(", "exp(")
    text = _POWER.sub(lambda m: "**" + m[0].translate(_RAISED), text)
    places = {symbol: f"x{place}" for place, symbol in enumerate(values)}
    names = {places[symbol]: value for symbol, value in values.items()}
    text = _symbols(values).sub(lambda m: places[m[0]], text)
    for sign, plain in (("×", "*"), ("−", "-"), ("^", "**"), ("[", "("), ("]", ")"), ("log₁₀", "log10")):
        text = text.replace(sign, plain)
    try:
        return _value(ast.parse(text.strip(), mode="eval").body, names)
    except (SyntaxError, KeyError, ArithmeticError, ValueError):
        return None


def _scaled(found: re.Match[str]) -> str:
    """A number and its unit as a number inside; a bracket's unit is always the one inside."""
    number, unit = found.groups()
    return number if number == ")" else f"({number}*{_UNITS[unit]})"


def _value(node: ast.expr, names: Mapping[str, float]) -> float:
    """Arithmetic alone; KeyError for anything else."""
    match node:
        case ast.Constant(value=int() | float() as number):
            return float(number)
        case ast.Name(id=name):
            return names[name]
        case ast.UnaryOp(op=ast.USub(), operand=inner):
            return -_value(inner, names)
        case ast.BinOp(left=left, op=op, right=right):
            return _OPERATORS[type(op)](_value(left, names), _value(right, names))
        case ast.Call(func=ast.Name(id=name), args=[only]):
            return _FUNCTIONS[name](_value(only, names))
    raise KeyError(type(node))


def _same(result: float, value: float) -> bool:
    """Whether it is the figure's number, but for the units that each is counted in."""
    if result == 0.0 or value == 0.0:
        return abs(result - value) < 1e-12
    ratio = result / value
    if ratio <= 0.0:
        return False
    # Tens (litres, grams, per cent), or the seconds of an hour.
    near = (ratio / 10.0 ** round(math.log10(ratio)), ratio / 3600.0, ratio * 3600.0)
    return any(abs(each - 1.0) < NEAR for each in near)
