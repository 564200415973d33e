"""What a line-up is: streams, and the position of every valve and hose that matters to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Driver = Literal["any", "pump", "gravity", "supply"]


@dataclass(frozen=True)
class Want:
    """A transfer somebody asks for, by vessel ids; a circulation names one vessel twice.

    ``via`` is in-line equipment that must be passed (a tower); ``beside`` is a second source let in at the
    same time by the first stream's pump (injection); ``outlet`` pins the source's port.
    """

    source: str
    destination: str
    via: str | None = None
    beside: str | None = None
    driver: Driver = "any"
    outlet: str | None = None

    @property
    def id(self) -> str:
        parts = [self.source, "to", self.destination]
        if self.source == self.destination:
            parts = ["around", self.source]
        if self.via:
            parts += ["via", self.via]
        if self.beside:
            parts += ["with", self.beside]
        return "-".join(parts).replace("_", "-")


@dataclass(frozen=True)
class HoseEnd:
    """A hose of the line-up and the port its free end goes to (``vessel.port``)."""

    hose: str
    port: str


@dataclass(frozen=True)
class Stream:
    """One driven flow: ``driver`` is a pump's id, gravity or supply; ``path`` the lines in its order."""

    source: str
    destination: str
    driver: str
    opening: Literal["full", "throttled", "restrictor"]
    outlet: str
    inlet: str
    path: tuple[str, ...]


@dataclass(frozen=True)
class LineUp:
    """Positions for one transfer. Valve ids throughout; labels are looked up when printed.

    ``open`` is in the order in which to open (receiver's end first); ``touching`` must be closed because they
    bound the route; ``guard`` are closed elsewhere on source and destination; ``positions`` are the three-way
    valves on or beside the route. ``throttle`` is the valve that sets a throttled stream, opened last.
    """

    id: str
    streams: tuple[Stream, ...]
    open: tuple[str, ...]
    touching: tuple[str, ...]
    guard: tuple[str, ...]
    positions: Mapping[str, str] = field(default_factory=dict)
    hoses: tuple[HoseEnd, ...] = ()
    wetted: frozenset[str] = frozenset()
    throttle: str | None = None

    @property
    def pump(self) -> str | None:
        """The pump that drives it, None for gravity or a supply."""
        driver = self.streams[0].driver
        return None if driver in ("gravity", "supply") else driver
