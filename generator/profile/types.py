"""The small types that every part of a profile is made of: ids, labels, yes/no, and quantities with units.

A quantity is text in the file (``55 gal``, ``4.5 kW``) and an SI float inside; the attribute's name carries
the SI unit (``volume_m3``), the file's key does not (``volume``). Bounds refuse the absurd, not the unusual.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, StringConstraints, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from generator import quantities

Material = Literal["stainless", "steel", "galvanised", "aluminium", "copper", "brass", "plastic"]


class Part(BaseModel):
    """Base of every model: unknown keys are refused, nothing changes after loading."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def reader(kind: str, low: float, high: float, wrong_kind: str | None = None) -> BeforeValidator:
    """Text of a file to the inside value of a quantity, refused outside ``low`` to ``high`` (inside unit).

    ``wrong_kind`` is the code for a unit that measures something else, where one is easily meant.
    """

    def read(value: Any, info: ValidationInfo) -> float:
        if isinstance(value, (dict, list)) or value is None:
            raise PydanticCustomError("wrong_shape", "not a quantity", {"kind": kind, "expected": kind})
        units = (info.context or {}).get("units")
        try:
            number = quantities.parse(str(value), kind, units=units)
        except quantities.QuantityError as error:
            facts = {"text": str(value)[:64], "kind": kind.replace("_", " "), **error.facts}
            code = wrong_kind if wrong_kind and error.code == "unit_wrong_kind" else error.code
            raise PydanticCustomError(code, "quantity", facts) from None
        if not low <= number <= high:
            shown = {
                "low": quantities.show(low, kind, rounding="exact").text,
                "high": quantities.show(high, kind, rounding="exact").text,
            }
            facts = {"text": str(value)[:64], "kind": kind.replace("_", " "), **shown}
            raise PydanticCustomError("absurd", "outside what such a thing can be", facts)
        return number

    return BeforeValidator(read)


def quantity_schema(kind: str, example: str) -> WithJsonSchema:
    """What a quantity looks like to an editor."""
    return WithJsonSchema(
        {"type": ["string", "number"], "description": kind.replace("_", " "), "examples": [example]}
    )


Volume = Annotated[float, reader("volume", 1e-4, 50.0), quantity_schema("volume", "208 L")]
RoomVolume = Annotated[float, reader("volume", 1.0, 20e3), quantity_schema("volume", "66 m3")]
Airflow = Annotated[float, reader("flow", 1e-3, 50.0), quantity_schema("flow", "640 m3/h")]
Length = Annotated[float, reader("length", 0.0, 30.0), quantity_schema("length", "0.65 m")]
Bore = Annotated[float, reader("length", 0.002, 0.5), quantity_schema("length", "25 mm")]
Altitude = Annotated[float, reader("altitude", -430.0, 4500.0), quantity_schema("altitude", "180 m")]
Area = Annotated[float, reader("area", 0.05, 5000.0), quantity_schema("area", "24 m2")]
Temperature = Annotated[float, reader("temperature", -40.0, 250.0), quantity_schema("temperature", "54 degC")]
TemperatureStep = Annotated[
    float, reader("temperature_difference", 0.0, 60.0), quantity_schema("temperature_difference", "5 K")
]
Power = Annotated[float, reader("power", 1.0, 100e3), quantity_schema("power", "4.5 kW")]
Voltage = Annotated[float, reader("voltage", 6.0, 700.0), quantity_schema("voltage", "230 V")]
Current = Annotated[float, reader("current", 0.5, 400.0), quantity_schema("current", "32 A")]
Flow = Annotated[float, reader("flow", 1e-6, 0.1), quantity_schema("flow", "40 L/min")]
AirPressure = Annotated[float, reader("pressure", 50e3, 110e3), quantity_schema("pressure", "98 kPa")]
Pressure = Annotated[float, reader("pressure", 100.0, 2e6), quantity_schema("pressure", "98 kPa")]
Time = Annotated[float, reader("time", 1.0, 30 * 86400.0), quantity_schema("time", "8 h")]
Mass = Annotated[float, reader("mass", 1e-4, 20e3), quantity_schema("mass", "25 kg")]
Fraction = Annotated[float, reader("fraction", 0.0, 1.0), quantity_schema("fraction", "90 %")]
WattDensity = Annotated[
    float, reader("watt_density", 100.0, 400e3), quantity_schema("watt_density", "15 W/in2")
]
MolarRatio = Annotated[float, reader("molar_ratio", 3.0, 30.0), quantity_schema("molar_ratio", "6:1")]
TitrationVolume = Annotated[
    float, reader("titration_volume", 0.0, 60.0), quantity_schema("titration_volume", "2.5 mL")
]

Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]{0,40}$")]
Label = Annotated[str, StringConstraints(min_length=1, max_length=30)]
Name = Annotated[str, StringConstraints(min_length=1, max_length=80)]
Words = Annotated[str, StringConstraints(min_length=1, max_length=400)]
Ref = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9_]*(\.[a-z][a-z0-9_]*)?$")]
