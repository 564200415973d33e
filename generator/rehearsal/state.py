"""The plant at one moment: what every vessel holds, how every valve and hose stands, what runs and heats."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from generator.rehearsal.mix import Mix, total


@dataclass(frozen=True)
class Contents:
    """What a vessel holds: layers, lowest first, at one temperature (°C)."""

    layers: tuple[Mix, ...] = ()
    temperature_c: float = 20.0

    @cached_property
    def mix(self) -> Mix:
        return self.layers[0] if len(self.layers) == 1 else total(self.layers)

    @cached_property
    def volume_m3(self) -> float:
        return sum(layer.volume_m3(self.temperature_c) for layer in self.layers)


@dataclass(frozen=True)
class State:
    """Never changed, only replaced; its mappings are copied by whoever makes the next state.

    hoses: the port of each far end (None: it hangs free) · running: pumps · on, locked: heaters · flowing:
    cooling, nitrogen, fan, vacuum, and air_shut while a vacuum pump's air valve is shut · primed: lines that
    stand full · kept: valves left off their normal position on purpose · hand: kg weighed, not yet poured ·
    away, brought: what left the plant and came from outside, so that nothing gets lost · since: volumes (m³)
    when the line-up began · wets: what the operation promises to touch · let_out: spouts opened on
    purpose · done: vessels just run down · others: vessels, pumps and heaters that another batch needs.
    """

    contents: Mapping[str, Contents]
    positions: Mapping[str, str]
    hoses: Mapping[str, str | None]
    running: frozenset[str] = frozenset()
    on: frozenset[str] = frozenset()
    locked: frozenset[str] = frozenset()
    set_points: Mapping[str, float] = field(default_factory=dict)
    flowing: frozenset[str] = frozenset()
    stopped: bool = False
    primed: frozenset[str] = frozenset()
    throttled: frozenset[str] = frozenset()
    kept: frozenset[str] = frozenset()
    hand: Mapping[str, float] = field(default_factory=dict)
    away: Mix = field(default_factory=Mix)
    brought: Mix = field(default_factory=Mix)
    since: Mapping[str, float] = field(default_factory=dict)
    line_up: str | None = None
    wets: frozenset[str] | None = None
    let_out: frozenset[str] = frozenset()
    done: frozenset[str] = frozenset()
    others: frozenset[str] = frozenset()
    time_s: float = 0.0

    def volume_m3(self, vessel: str) -> float:
        """Volume in a vessel, m³."""
        return self.contents[vessel].volume_m3

    def mass_kg(self) -> float:
        """All that is here, less what was brought, with what left: it never changes."""
        here = sum(layer.total_kg for held in self.contents.values() for layer in held.layers)
        return here + self.away.total_kg + sum(self.hand.values()) - self.brought.total_kg

    def with_contents(self, **changed: Contents) -> Mapping[str, Contents]:
        """The contents of all vessels, these changed."""
        return {**self.contents, **changed}
