"""The only place where text becomes a number with a unit, and a number becomes text again.

Inside are SI floats, but for: temperatures in °C, titration volumes in mL, parts per million as that number,
normality in eq/L, rates in 1/h, angles in degrees. Spellings are a closed table (unit_table), printed steps
another (unit_ladders): what is in neither is refused, never guessed.
"""

from __future__ import annotations

import difflib
import math
import re
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Any

from generator.unit_ladders import QUANTITIES, Quantity, Rung
from generator.unit_table import CHAINS, FAMILIES, LOOKUP, Unit, find

__all__ = ["QUANTITIES", "Part", "QuantityError", "Shown", "in_units", "parse", "precise", "show"]

LONGEST_TEXT = 64
ABSOLUTE_ZERO_C = -273.15
# Closer to a step than this (relative) is on the step: 0.3 / 0.1 must not round down to 2.
NOISE = Fraction(1, 10**9)
EXACT_NOISE = Fraction(1, 10**12)
MOST_DIGITS = 6
SYSTEMS = {"us": ("us",), "metric": ("metric",), "both": ("metric", "us")}

_SIGNS = str.maketrans({"\u2212": "-", "\u2044": "/", "\u2019": "'", "\u2032": "'", "”": '"', "″": '"'})
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_DECIMAL = r"(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)"
_MIXED = r"(?:[0-9]+(?:\s+|-))?[0-9]+/[0-9]+"
_NUMBER = re.compile(rf"([+-]?)({_MIXED}|{_DECIMAL}(?:[eE][+-]?[0-9]{{1,3}})?)")
_PIECE = re.compile(rf"({_MIXED}|{_DECIMAL})\s*([A-Za-z]+|['\"])\.?\s*")
_NOT_FINITE = re.compile(r"[+-]?(nan|inf|infinity)(?![a-z])", re.IGNORECASE)
#: A temperature, or a range of them, stated in both systems.
_BOTH_WAYS = re.compile(r"([−0-9][−0-9. ]*(?: to [−0-9. ]+)?°C) \(([^()]*°F)\)")
_CLOCK = re.compile(r"[0-9]+:[0-9]{2}(?::[0-9]{2})?")


class QuantityError(ValueError):
    """Text that is no quantity of the kind asked for: a code that content words, and the facts it needs."""

    def __init__(self, code: str, **facts: Any) -> None:
        self.code = code
        self.facts: dict[str, Any] = facts
        super().__init__(f"{code}: {facts.get('text')!r}")


@dataclass(frozen=True)
class Part:
    """One number as printed and the unit beside it; both are text."""

    number: str
    unit: str

    @property
    def text(self) -> str:
        """Number and unit with a non-breaking space between, but for `6:1`, `6/h` and `60°`."""
        close = not self.unit or self.unit[0] in ":/" or self.unit == "°"
        return self.number + ("" if close else "\u00a0") + self.unit


@dataclass(frozen=True)
class Shown:
    """A quantity as printed; the first part is in the plant's first unit."""

    parts: tuple[Part, ...]

    @property
    def first(self) -> Part:
        """The part in the plant's first unit."""
        return self.parts[0]

    @property
    def text(self) -> str:
        """`208 L`, or `208 L (55 US gal)` where two systems are printed."""
        return self.first.text + "".join(f" ({part.text})" for part in self.parts[1:])


@dataclass(frozen=True)
class _Reading:
    """One text on its way to a number: what every error message needs to know about it."""

    text: str
    name: str
    quantity: Quantity
    us_plant: bool

    def error(self, code: str, **facts: Any) -> QuantityError:
        return QuantityError(
            code, text=self.text, kind=self.name.replace("_", " "), accepts=self._accepts(), **facts
        )

    def _accepts(self) -> str:
        units = FAMILIES[self.quantity.family]
        return ", ".join(u.bare[0] if self.us_plant and u.bare else u.name for u in units if u.name)


def parse(text: str, quantity: str, *, units: str | None = None) -> float:
    """The inside value of `text` (SI; see the module for the exceptions), read as the named quantity.

    `units` is the plant's own system: only in a `us` plant is a bare `gal` a US gallon. Raises QuantityError
    for anything a careful reader could take in two ways, and for values the quantity cannot have.
    """
    reading = _Reading(text.strip()[: LONGEST_TEXT + 1], quantity, QUANTITIES[quantity], units == "us")
    clean = _clean(reading)
    amount = _chained(reading, clean)
    if amount is None:
        amount = _single(reading, clean)
    return _checked(reading, amount)


def _clean(reading: _Reading) -> str:
    """One kind of blank, minus and fraction; refuses what must not be read at all."""
    if len(reading.text) > LONGEST_TEXT:
        raise reading.error("quantity_too_long", longest=LONGEST_TEXT)
    text = " ".join(reading.text.translate(_SIGNS).split())
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction}").strip()
    if _NOT_FINITE.match(text):
        raise reading.error("number_not_finite")
    if not any(c in "0123456789" for c in text):
        raise reading.error("number_missing")
    if "," in text:
        as_point = text.replace(",", "." if text.count(",") == 1 and "." not in text else "")
        raise reading.error("decimal_comma", as_point=as_point, as_thousands=text.replace(",", ""))
    if reading.quantity.family == "time" and _CLOCK.match(text):
        hours, minutes = text.split(":")[:2]
        raise reading.error("clock_time", first=int(hours), second=int(minutes[:2]))
    return text


def _number(reading: _Reading, text: str) -> Fraction:
    """Exact value of `1.5`, `1e3`, `5/8`, `1 5/8` or `1-5/8`, without sign."""
    if "/" not in text:
        number = Decimal(text)
        if number and abs(number.adjusted()) > 300:
            raise reading.error("number_not_finite")
        return Fraction(number)
    *whole, part = re.split(r"[\s-]+", text)
    above, below = (int(n) for n in part.split("/"))
    if below == 0 or (whole and above >= below):
        raise reading.error("number_unreadable")
    return sum((Fraction(w) for w in whole), Fraction(above, below))


def _chained(reading: _Reading, text: str) -> Fraction | None:
    """Inside value of `3 ft 6 in` or `1 h 30 min`; None where the text has one unit only."""
    chain = CHAINS.get(reading.quantity.family)
    pieces = [m.groups() for m in _PIECE.finditer(text)]
    if chain is None or len(pieces) < 2 or "".join(_PIECE.split(text)[::3]):
        return None
    if not all(find(spelling, reading.quantity.family) for _, spelling in pieces):
        return None
    total, room, places = Fraction(0), None, []
    for digits, spelling in pieces:
        number, unit = _number(reading, digits), _unit(reading, digits, spelling)
        if unit.name not in chain or (room is not None and number * unit.factor >= room):
            raise reading.error("chain_unreadable")
        places.append((chain.index(unit.name), number))
        total, room = total + number * unit.factor, unit.factor
    if any(a[0] >= b[0] or a[1].denominator != 1 for a, b in pairwise(places)):
        raise reading.error("chain_unreadable")
    return total


def _single(reading: _Reading, text: str) -> Fraction:
    match = _NUMBER.match(text)
    if match is None:
        raise reading.error("number_unreadable")
    sign, digits = match.groups()
    number = _number(reading, digits) * (-1 if sign == "-" else 1)
    rest = text[match.end() :].strip()
    unit = _unit(reading, sign + digits, rest)
    if not rest and reading.quantity.family == "fraction" and number >= 1:
        raise reading.error("fraction_ambiguous", as_percent=f"{digits} %")
    return number * unit.factor + unit.offset


def _unit(reading: _Reading, digits: str, spelling: str) -> Unit:
    """The unit that `spelling` means for this quantity, or the error that helps most."""
    family = reading.quantity.family
    found = find(spelling, family) or find(spelling.removesuffix("."), family)
    if found is None:
        raise _no_unit(reading, spelling)
    unit, bare = found
    if bare and not reading.us_plant:
        uk = unit.name.replace("US ", "UK ")
        raise reading.error(
            "gallon_ambiguous", unit=spelling, as_us=f"{digits} {unit.name}", as_uk=f"{digits} {uk}"
        )
    return unit


def _no_unit(reading: _Reading, spelling: str) -> QuantityError:
    family = reading.quantity.family
    if not spelling:
        return reading.error("unit_missing")
    if spelling[0] in "0123456789.:+-/_":
        return reading.error("number_unreadable")
    if family == "temperature" and find(spelling, "temperature_difference"):
        return reading.error("temperature_difference", unit=spelling)
    others = [other for other in FAMILIES if find(spelling, other)]
    if others:
        return reading.error("unit_wrong_kind", unit=spelling, measures=others[0].replace("_", " "))
    words = spelling.split()
    for end in range(len(words) - 1, 0, -1):
        if find(" ".join(words[:end]), family):
            return reading.error("trailing_text", extra=" ".join(words[end:]))
    close = difflib.get_close_matches(spelling, [s for s in LOOKUP[family] if s], n=3, cutoff=0.5)
    return reading.error(
        "unit_unknown", unit=spelling, near=", ".join(close) or reading.error("").facts["accepts"]
    )


def _checked(reading: _Reading, amount: Fraction) -> float:
    try:
        value = float(amount)
    except OverflowError:
        raise reading.error("number_not_finite") from None
    if reading.name == "temperature" and value < ABSOLUTE_ZERO_C:
        raise reading.error("below_absolute_zero")
    if value < 0.0 and not reading.quantity.signed:
        raise reading.error("negative")
    if reading.quantity.whole and amount.denominator != 1:
        raise reading.error("number_not_whole")
    return value


@lru_cache(maxsize=4096)
def show(
    value: float,
    quantity: str,
    *,
    units: str = "metric",
    rounding: str = "target",
    resolution: float | None = None,
) -> Shown:
    """`value` (inside unit) as printed in the plant's system: `us`, `metric`, or `both` with metric first.

    `rounding` is `maximum` (down), `minimum` (up), `target` (nearest, halves up) or `exact` (the shortest
    number that reads back as the value). `resolution` (inside unit) is what the instrument can show; it
    coarsens the step. Each part rounds to the safe side by itself; one whose own step is finer than the
    instrument's is made from the number that the instrument shows. Under `exact` a part that would need more
    than six digits is rounded to the nearest step. QuantityError for a value that is not finite.
    """
    if not math.isfinite(value):
        raise QuantityError("number_not_finite", text=str(value), kind=quantity.replace("_", " "), accepts="")
    if resolution is not None and QUANTITIES[quantity].whole:
        resolution = math.ceil(resolution)  # what is counted has no fraction, whatever shows it
    kind = QUANTITIES[quantity]
    ladders = [kind.ladders[system] for system in SYSTEMS["both" if units == "us" and kind.beside else units]]
    parts: list[Part] = []
    for rung, number in _numbers(ladders, value, rounding, resolution):
        name = rung.unit.bare[0] if units == "us" and rung.unit.bare else rung.unit.name
        part = Part(_digits(number, fractional=rung.fractional, places=kind.places), name)
        if part not in parts:
            parts.append(part)
    return Shown(tuple(parts))


def _numbers(
    ladders: list[tuple[Rung, ...]], value: float, rounding: str, resolution: float | None
) -> list[tuple[Rung, Fraction]]:
    """The rung and the rounded number of each part."""
    rungs = [_rung(ladder, value, resolution) for ladder in ladders]
    if resolution is None or rounding == "exact" or len(ladders) == 1:
        return [(rung, _rounded(rung, value, rounding, resolution)) for rung in rungs]
    # The instrument's own unit is the one in which its step is the shortest number.
    own = min(rungs, key=lambda rung: len(f"{resolution / float(rung.unit.factor):.9g}".strip("0.")))
    read = _rounded(own, value, rounding, resolution)
    shown = float(read * own.unit.factor + own.unit.offset)
    found = []
    for rung, ladder in zip(rungs, ladders, strict=True):
        if rung is own:
            found.append((own, read))
            continue
        finer = Fraction(resolution) / rung.unit.factor > rung.step * (1 + NOISE)
        made_from = shown if finer else value
        again = _rung(ladder, made_from, None)
        found.append((again, _rounded(again, made_from, rounding, None)))
    return found


def precise(value: float, quantity: str, digits: int) -> str:
    """`value` (inside unit) in the metric unit that prints it, to so many significant digits."""
    kind = QUANTITIES[quantity]
    rung = _rung(kind.ladders["metric"], value, None)
    number = Fraction(f"{float(_in_unit(rung.unit, value)):.{digits}g}")
    return Part(_digits(number, places=kind.places), rung.unit.name).text


def in_units(text: str, units: str) -> str:
    """A sentence that states each temperature both ways, `20 °C (68 °F)`, in the plant's system alone.

    `units` is `us`, `metric` or `both`, which keeps both. A number and its degree stay on one line.
    """
    kept = {"metric": r"\1", "us": r"\2", "both": r"\g<0>"}[units]
    return _BOTH_WAYS.sub(kept, text).replace(" °", "\u00a0°")


def _in_unit(unit: Unit, value: float) -> Fraction:
    return (Fraction(value) - unit.offset) / unit.factor


def _rung(ladder: tuple[Rung, ...], value: float, resolution: float | None) -> Rung:
    """The first rung with room for the value, and for the instrument's resolution."""
    if value == 0.0 and not resolution:
        return next((rung for rung in ladder if rung.plain), ladder[0])
    for rung in ladder:
        if rung.below is None:
            return rung
        # Floats decide between rungs: their own error lies far within the noise that is allowed for.
        factor = float(rung.unit.factor)
        reach = max(abs((value - float(rung.unit.offset)) / factor), (resolution or 0.0) / factor)
        if reach * (1.0 + float(NOISE)) < rung.below:
            return rung
    return ladder[-1]


def _rounded(rung: Rung, value: float, rounding: str, resolution: float | None) -> Fraction:
    number = _in_unit(rung.unit, value)
    if rounding == "exact":
        exact = _shortest(rung, value, number)
        if exact is not None and not _long(exact):
            return exact
        rounding = "target"
    step = _step(rung, resolution)
    return _whole_steps(number / step, rounding) * step


def _long(number: Fraction) -> bool:
    return len(_decimal(number).normalize().as_tuple().digits) > MOST_DIGITS


def _whole_steps(steps: Fraction, rounding: str) -> int:
    guard = NOISE * max(Fraction(1), abs(steps))
    nearest = math.floor(steps + Fraction(1, 2))
    if rounding == "target":
        return math.floor(steps + Fraction(1, 2) + NOISE)
    if abs(steps - nearest) <= guard:
        return nearest
    return {"maximum": math.floor, "minimum": math.ceil}[rounding](steps)


def _step(rung: Rung, resolution: float | None) -> Fraction:
    """The rung's step, or the instrument's if coarser: as it is where short, else the next round one."""
    wanted = Fraction(resolution or 0) / rung.unit.factor
    if wanted <= rung.step * (1 + NOISE):
        return rung.step
    short = Fraction(f"{float(wanted):.3g}")
    # No thermometer has lines at 1.8 °F: a step that comes from the other scale becomes a round one.
    if abs(short - wanted) <= NOISE * wanted and not (rung.unit.offset and short % rung.step):
        return short
    if rung.fractional and wanted < 1:
        return Fraction(1, 2 ** int(-math.log2(wanted)))
    decade = Fraction(10) ** math.floor(math.log10(wanted))
    return next(decade * n for n in (1, 2, 5, 10) if decade * n >= wanted)


def _shortest(rung: Rung, value: float, number: Fraction) -> Fraction | None:
    """The number with fewest digits that reads back as `value`; for a tape also whole 64ths."""
    unit = rung.unit
    near = EXACT_NOISE * max(abs(Fraction(value)), abs(unit.offset))
    tries = [Fraction(round(number * 64), 64)] if rung.fractional else []
    tries += [Fraction(f"{_decimal(number):.{digits}e}") for digits in range(17)]
    return next((n for n in tries if abs(n * unit.factor + unit.offset - Fraction(value)) <= near), None)


def _decimal(number: Fraction) -> Decimal:
    with localcontext() as context:
        context.prec = 40
        return Decimal(number.numerator) / Decimal(number.denominator)


def _digits(number: Fraction, *, fractional: bool = False, places: int = 0) -> str:
    """Plain digits without trailing zeros (`1.0` is misread as 10), or a mixed fraction of whole 64ths.

    ``places`` decimals are kept in any case, as money is written.
    """
    sign, size = "\u2212" if number < 0 else "", abs(number)
    if fractional and size.denominator != 1 and 64 % size.denominator == 0:
        whole, part = divmod(size, 1)
        return f"{sign}{whole} {part}" if whole else f"{sign}{part}"
    whole_part, _, decimals = f"{_decimal(size):f}".partition(".")
    decimals = decimals.rstrip("0").ljust(places, "0")
    return f"{sign}{whole_part}.{decimals}" if decimals else sign + whole_part
