"""The whole profile: one plant as its owner describes it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from generator.profile.accepted import AcceptedDeviation
from generator.profile.own_values import OwnValues
from generator.profile.piping import (
    Condenser,
    Hose,
    Inline,
    Line,
    PinnedRoute,
    Pump,
    Supply,
    Tee,
    Valve,
)
from generator.profile.prices import Prices
from generator.profile.recipe import Feedstock, Recipe
from generator.profile.site import Safety, Site
from generator.profile.types import Id, Name, Part, Words
from generator.profile.vessels import Vessel


class Paper(Part):
    """Sheets to print on: the manual's page and the card that fits the laminating pouch."""

    manual: Literal["A4", "Letter"] = "A4"
    cards: Literal["A4", "A5", "Letter", "half_Letter"] = "A4"


class Position(Part):
    """Where a piece of equipment stands in the drawing, counted from 1 at the top left.

    Row 0 is the band above the vessels, for pumps, towers and the like.
    """

    column: int = Field(ge=1, le=40)
    row: int | None = Field(default=None, ge=0, le=4)


class DrawingWishes(Part):
    """What the owner wants of the plant drawing; everything else is computed."""

    positions: dict[Id, Position] = Field(default_factory=dict)


class Profile(Part):
    """Top level. Equipment sections map a stable id to a part; a label may change, an id never does."""

    fillmark: Literal["1"]
    name: Name
    about: Words
    based_on: str | None = None
    units: Literal["metric", "us", "both"]
    language: Literal["en"] = "en"
    paper: Paper = Paper()
    site: Site
    safety: Safety
    feedstock: Feedstock
    recipe: Recipe
    own_values: OwnValues = OwnValues()
    prices: Prices | None = None
    vessels: dict[Id, Vessel] = Field(min_length=1)
    pumps: dict[Id, Pump] = Field(default_factory=dict)
    valves: dict[Id, Valve] = Field(default_factory=dict)
    tees: dict[Id, Tee] = Field(default_factory=dict)
    lines: dict[Id, Line] = Field(default_factory=dict)
    hoses: dict[Id, Hose] = Field(default_factory=dict)
    inline: dict[Id, Inline] = Field(default_factory=dict)
    supplies: dict[Id, Supply] = Field(default_factory=dict)
    condensers: dict[Id, Condenser] = Field(default_factory=dict)
    accepted: list[AcceptedDeviation] = Field(default_factory=list)
    routes: list[PinnedRoute] = Field(default_factory=list)
    drawing: DrawingWishes = DrawingWishes()
