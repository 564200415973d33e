"""What things cost at this plant, in its own money: an amount for a unit, `1.20 per L`."""

from __future__ import annotations

import re
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, StringConstraints, ValidationInfo
from pydantic_core import PydanticCustomError

from generator import quantities
from generator.profile.types import Part, quantity_schema

_PRICE = re.compile(r"([0-9]+(?:\.[0-9]+)?)\s*(?:per|/)\s*(\S.*)")


def _reader(kind: str, example: str) -> BeforeValidator:
    def read(value: Any, info: ValidationInfo) -> float:
        found = _PRICE.fullmatch(str(value).strip()[:64])
        facts = {"text": str(value)[:64], "example": example}
        if found is None:
            raise PydanticCustomError("price_form", "amount per unit", facts)
        amount, unit = found.groups()
        try:
            each = quantities.parse(f"1 {unit}", kind, units=(info.context or {}).get("units"))
        except quantities.QuantityError as error:
            facts = {"text": str(value)[:64], "kind": kind.replace("_", " "), **error.facts}
            raise PydanticCustomError(error.code, "unit of a price", facts) from None
        if each <= 0.0:
            raise PydanticCustomError("price_form", "amount per unit", facts)
        return float(amount) / each

    return BeforeValidator(read)


Currency = Annotated[str, StringConstraints(min_length=1, max_length=12)]
PerVolume = Annotated[float, _reader("volume", "1.20 per L"), quantity_schema("price", "1.20 per L")]
PerMass = Annotated[float, _reader("mass", "3.00 per kg"), quantity_schema("price", "3.00 per kg")]
PerEnergy = Annotated[float, _reader("energy", "0.15 per kWh"), quantity_schema("price", "0.15 per kWh")]


class Prices(Part):
    """Amounts for a m3, a kg and a joule; ``other_per_batch`` is all the rest of a batch."""

    currency: Currency
    oil_per_m3: PerVolume = Field(alias="oil")
    methanol_per_m3: PerVolume = Field(alias="methanol")
    catalyst_per_kg: PerMass = Field(alias="catalyst")
    electricity_per_j: PerEnergy = Field(alias="electricity")
    other_per_batch: float = Field(ge=0, default=0.0)
