"""What a drawing is made of, before anything has a place: items, their nozzles, and nets that join nozzles.

An item is a vessel or a block (pump, tower, three-way valve, supply …). A nozzle is one way out of an item:
a column of fittings (valves, couplings) in their order outwards, then its net; a nozzle without a net ends
by itself (a spout, a vent). A net is what stays in one piece with all valves taken out: a header and its
branches.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from generator.handbook.drawing.bodies import Body

Style = Literal["pipe", "hose", "vapour"]
Flow = Literal["in", "out", "none"]
Side = Literal["top", "bottom", "side"]


@dataclass(frozen=True)
class Fitting:
    """A symbol on a nozzle. ``away`` tells of a check valve whether it lets liquid leave the item.

    ``state`` is ``open``, ``closed`` or nothing; ``shown`` is the painted label, empty where there is none.
    """

    kind: str
    id: str = ""
    shown: str = ""
    state: str = ""
    away: bool = True


@dataclass(frozen=True)
class Nozzle:
    """``run`` is the line or hose it belongs to; ``flow`` is seen from the item. ``upwards`` is for sides."""

    item: str
    port: str
    run: str
    net: str | None
    fittings: tuple[Fitting, ...] = ()
    style: Style = "pipe"
    flow: Flow = "none"
    side: Side = "top"
    upwards: bool = True
    height: float = 0.0
    dip: float | None = None

    @property
    def key(self) -> tuple[str, str, str]:
        return self.item, self.port, self.run


@dataclass(frozen=True)
class Heater:
    """An element's painted label and the height of its hot part, in the body's measure."""

    shown: str
    height: float


@dataclass(frozen=True)
class Item:
    """``body`` is a vessel's; a block has none. ``ports`` are a three-way valve's that are joined."""

    id: str
    kind: str
    shown: str
    name: str = ""
    body: Body | None = None
    heaters: tuple[Heater, ...] = ()
    limit: float | None = None
    heel: float = 0.0
    joined: frozenset[str] = frozenset()
    position: str = ""
    fittings: tuple[Fitting, ...] = ()

    @property
    def shell(self) -> Body:
        """The body of an item that is known to be a vessel; TypeError for a block."""
        if self.body is None:
            raise TypeError(self.id)
        return self.body


@dataclass(frozen=True)
class Pin:
    """A place the owner has set: counted from 1 at the left; row 0 is the band on top."""

    column: int
    row: int | None = None


@dataclass(frozen=True)
class Diagram:
    """Items in the order of the process, and their nozzles."""

    items: tuple[Item, ...]
    nozzles: tuple[Nozzle, ...]
    pins: Mapping[str, Pin] = field(default_factory=dict)

    @property
    def vessels(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.body is not None)

    @property
    def blocks(self) -> tuple[Item, ...]:
        return tuple(item for item in self.items if item.body is None)

    def of(self, item: str) -> tuple[Nozzle, ...]:
        """An item's nozzles."""
        return tuple(nozzle for nozzle in self.nozzles if nozzle.item == item)
