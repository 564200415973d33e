"""The figure: a value of record with its unit, formula, inputs and source.

Python supplies the number and what it was made from; title, formula, source and wording live in
``content/figures.yaml`` under the figure's ``kind``. A figure about one piece of equipment has that
equipment's id as ``subject``.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, Literal

import yaml

from generator import quantities
from generator.problems import CONTENT

Rounding = Literal["maximum", "minimum", "target", "exact"]


@dataclass(frozen=True)
class Input:
    """One number that went into a figure; ``figure`` is the id of the figure it came from, if it is one.

    A figure is shown as it prints itself, so that no number appears in two roundings. ``own`` is true of a
    value that is customary elsewhere and that this plant states itself.
    """

    symbol: str
    value: float
    quantity: str
    figure: str | None = None
    rounding: str = "target"
    resolution: float | None = None
    own: bool = False

    def shown(self, units: str) -> str:
        return quantities.show(
            self.value, self.quantity, units=units, rounding=self.rounding, resolution=self.resolution
        ).text


@dataclass(frozen=True)
class Figure:
    """``value`` is SI (°C for temperatures); ``quantity`` names the kind of unit it is shown in.

    ``own`` is true where the plant's own value stands in the place of a customary one.
    """

    id: str
    kind: str
    subject: str | None
    value: float
    quantity: str
    inputs: tuple[Input, ...]
    units: str
    resolution: float | None = None
    own: bool = False

    @property
    def words(self) -> Mapping[str, Any]:
        return kinds()[self.kind]

    @property
    def rounding(self) -> str:
        return str(self.words["rounding"])

    @property
    def formula(self) -> str:
        return str(self.words["formula"])

    @property
    def source(self) -> str:
        return str(self.words["source"])

    @property
    def shown(self) -> quantities.Shown:
        """As printed: maximum rounds down, minimum rounds up."""
        return quantities.show(
            self.value, self.quantity, units=self.units, rounding=self.rounding, resolution=self.resolution
        )

    @property
    def uses_own(self) -> bool:
        """Whether one of the plant's own values goes into it, or it is one."""
        return self.own or any(part.own for part in self.inputs)

    @property
    def text(self) -> str:
        return self.shown.text


@cache
def kinds() -> dict[str, dict[str, Any]]:
    """Every kind of figure: title, symbol, formula, source, mark, rounding."""
    loaded: dict[str, dict[str, Any]] = yaml.safe_load((CONTENT / "figures.yaml").read_text(encoding="utf-8"))
    return loaded


class FigureBook:
    """All figures of one plant, by id, in the order in which they were computed."""

    def __init__(self, units: str) -> None:
        self.units = units
        self._figures: dict[str, Figure] = {}
        self._same: dict[str, str] = {}

    def add(
        self,
        kind: str,
        value: float,
        quantity: str,
        inputs: Mapping[str, tuple[float, str] | Figure] | None = None,
        *,
        subject: str | None = None,
        resolution: float | None = None,
        own: bool = False,
    ) -> Figure:
        """Record one figure. ``inputs`` maps a symbol to (SI value, quantity) or to another figure.

        Raises KeyError where content has no words for the kind, ValueError where the id is taken.
        """
        if kind not in kinds():
            raise KeyError(kind)
        figure_id = f"{subject}.{kind}" if subject else kind
        if figure_id in self._figures:
            raise ValueError(figure_id)
        made_from = tuple(_input(symbol, given) for symbol, given in (inputs or {}).items())
        figure = Figure(figure_id, kind, subject, value, quantity, made_from, self.units, resolution, own)
        self._figures[figure_id] = figure
        return figure

    def also(self, name: str, figure: Figure) -> None:
        """Let ``name`` stand for a figure too: what is asked for under it depends on the recipe."""
        self._same[name] = figure.id

    def __getitem__(self, figure_id: str) -> Figure:
        return self._figures[self._same.get(figure_id, figure_id)]

    def __contains__(self, figure_id: object) -> bool:
        return figure_id in self._figures or figure_id in self._same

    def __iter__(self) -> Iterator[Figure]:
        return iter(self._figures.values())

    def __len__(self) -> int:
        return len(self._figures)

    def get(self, figure_id: str) -> Figure | None:
        return self._figures.get(self._same.get(figure_id, figure_id))

    def about(self, subject: str) -> list[Figure]:
        """Figures of one piece of equipment."""
        return [figure for figure in self if figure.subject == subject]


def _input(symbol: str, given: tuple[float, str] | Figure) -> Input:
    if isinstance(given, Figure):
        return Input(
            symbol, given.value, given.quantity, given.id, given.rounding, given.resolution, given.own
        )
    value, quantity = given
    return Input(symbol, value, quantity)
