"""Deviations that the owner accepts by name, for a reason and for a time."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from generator.profile.types import Name, Part, Words


class AcceptedDeviation(Part):
    """One rule at one piece of equipment (``where``: an id, ``vessel.heater``) until a day, and on it.

    ``where`` is left out only for a rule that concerns no piece of equipment.
    """

    rule: Name
    where: Name | None = None
    reason: Words
    by: Name
    until_day: date = Field(alias="until")
