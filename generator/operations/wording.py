"""Sentences from data: templates of content filled with this plant's labels and figures, in a sandbox."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache
from typing import Any

import yaml
from jinja2 import StrictUndefined, Template
from jinja2.sandbox import SandboxedEnvironment

from generator import quantities
from generator.figures.record import Figure, FigureBook
from generator.operations.steps import LABEL_END, LABEL_START, VALUE_END, VALUE_SPLIT, VALUE_START
from generator.plant.plant import Plant
from generator.plant.trapped import relief_valves
from generator.problems import CONTENT

#: Kinds of valve that do not shut a line off in a hurry.
NO_STOP = ("needle", "globe", "check")


@cache
def step_words() -> dict[str, dict[str, str]]:
    """Wording of every kind of step: text, expected, otherwise, blank."""
    loaded: dict[str, dict[str, str]] = yaml.safe_load(
        (CONTENT / "wording" / "steps.yaml").read_text(encoding="utf-8")
    )
    return loaded


@cache
def safety_messages() -> dict[str, dict[str, Any]]:
    """Messages of content that stand before steps, by key, with their templates."""
    text = (CONTENT / "hazards" / "messages.yaml").read_text(encoding="utf-8")
    loaded: dict[str, dict[str, Any]] = yaml.safe_load(text)
    return loaded


def mark_label(text: str) -> str:
    """A painted label, marked so that paper and screen can box it."""
    return f"{LABEL_START}{text}{LABEL_END}"


class Words:
    """Fills templates. ``used`` gathers the ids of the figures that the last sentence printed.

    ``missing`` gathers those that were asked for and are not in the book, ``tagged`` the ids of the labels
    that were printed.
    """

    def __init__(self, plant: Plant, figures: FigureBook, known: Mapping[str, Any]) -> None:
        self._plant = plant
        self._figures = figures
        self.used: list[str] = []
        self.missing: dict[str, None] = {}
        self.tagged: dict[str, str] = {}
        self._known: dict[str, Any] = {
            "tag": self.tag,
            "tags": self.tags,
            "tag_text": mark_label,
            "val": self.value,
            "q": self.quantity,
            "has": self.has,
            "name": self.name,
            "heaters": self.heaters,
            "shutoff": self.shutoff,
            "spout": self.spout,
            "vent_condenser": self.vent_condenser,
            "reliefs": self.reliefs,
            "vacuum": self.vacuum,
            "fitting": self.fitting,
            "job_title": job_title,
            "fact": dict(known),
            "profile": plant.profile,
        }

    def knows(self, **texts: str) -> None:
        """More words for the templates, of what another module of operations finds."""
        self._known.update(texts)

    def teach(self, **functions: Callable[..., str]) -> None:
        """More functions for the templates, of what is known only while procedures expand."""
        self._known.update(functions)

    def equipment(self, name: str) -> str:
        """The id of the vessel that plays a role, or of a role's heater (``react.element``); ids stay.

        ``ester`` is whichever vessel holds the ester when it goes on to the tower, ``fuel_now`` the fuel when
        it is tested.
        """
        owner, dot, rest = name.partition(".")
        if owner == "ester":
            owner = "strip" if self._plant.profile.recipe.stripping else "settle"
        if owner == "fuel_now":
            owner = "wash" if self._plant.profile.recipe.washing.method == "water" else "fuel"
        tank = self._plant.with_role(owner)
        return f"{tank.id}{dot}{rest}" if tank is not None else name

    def tag(self, name: str) -> str:
        id_ = self.equipment(name)
        label = self._plant.label(id_)
        self.tagged[label] = id_
        return mark_label(label)

    def tags(self, names: Iterable[str]) -> str:
        return " ".join(self.tag(name) for name in names)

    def name(self, name: str) -> str:
        """A vessel's spoken name, as the profile gives it."""
        return self._plant.profile.vessels[self.equipment(name)].name

    def heaters(self, name: str) -> str:
        """All heaters of a vessel, as one says them: what takes the heat away takes all of it."""
        vessel = self.equipment(name)
        ids = [f"{vessel}.{key}" for key in self._plant.profile.vessels[vessel].heaters]
        word = step_words()["heaters"]["several" if len(ids) > 1 else "one" if ids else "none"]
        return f"{word} {self.tags(ids)}".strip()

    def shutoff(self, name: str) -> str:
        """Labels of the valves that shut a vessel's liquid in, as painted."""
        return " ".join(mark_label(label) for label in shutoff_labels(self._plant, self.equipment(name)))

    def spout(self, name: str) -> str:
        """The label of the valve that opens a vessel's lowest drain into the open."""
        return self.tags(spout_valves(self._plant, self.equipment(name))[:1])

    def reliefs(self) -> str:
        """Labels of the valves that are open at rest to let out what others shut in; throttles left out."""
        kinds = {id_: valve.kind for id_, valve in self._plant.profile.valves.items()}
        found = relief_valves(self._plant.profile)
        return self.tags(id_ for id_ in found if kinds[id_] not in ("needle", "globe"))

    def vent_condenser(self, name: str) -> str:
        """Id of the condenser that a vessel breathes through."""
        return str(self._plant.profile.vessels[self.equipment(name)].vent.condenser)

    def vacuum(self, part: str) -> str:
        """A painted label of the vacuum pump: ``label``, ``air_valve``, ``gauge_label``."""
        condenser = self._plant.profile.condensers[self.vent_condenser("strip")]
        return mark_label(str(getattr(condenser.vacuum, part)))

    def fitting(self, name: str, part: str) -> str:
        """The painted label of what a vessel carries: its ``agitator`` or ``thermometer``."""
        return mark_label(str(getattr(self._plant.profile.vessels[self.equipment(name)], part).label))

    def figure_id(self, kind: str, subject: str | None = None) -> str:
        return f"{self.equipment(subject)}.{kind}" if subject else kind

    def figure(self, figure_id: str) -> Figure | None:
        """A figure of the plant, None where it has none of that id."""
        return self._figures.get(figure_id)

    def has(self, kind: str, subject: str | None = None) -> bool:
        return self.figure_id(kind, subject) in self._figures

    def value(self, kind: str, subject: str | None = None) -> str:
        """A figure as printed, marked with its id so that it can link to its sheet."""
        figure_id = self.figure_id(kind, subject)
        figure = self._figures.get(figure_id)
        if figure is None:
            # The review stops on what could not be computed; a draft shows that the number is missing.
            self.missing[figure_id] = None
            return step_words()["missing"]["text"]
        self.used.append(figure.id)
        return f"{VALUE_START}{figure.id}{VALUE_SPLIT}{figure.text}{VALUE_END}"

    def shown(self, value: float, kind: str, rounding: str = "target") -> str:
        """A number of the profile in this plant's units."""
        return quantities.show(value, kind, units=self._plant.profile.units, rounding=rounding).text

    def quantity(self, text: str, kind: str, rounding: str = "target") -> str:
        """A quantity of content (``45 °C``) in this plant's units, rounded to its safe side."""
        return self.shown(quantities.parse(text, kind), kind, rounding)

    def fill(self, template: str, data: Mapping[str, Any] | None = None) -> str:
        """One template filled."""
        if "{" not in template:
            return template.strip()
        return _compiled(template).render({**self._known, **(data or {})}).strip()


_ENVIRONMENT = SandboxedEnvironment(undefined=StrictUndefined, autoescape=False)


@cache
def _compiled(template: str) -> Template:
    """A template of content, compiled once for all plants: what differs between them is given on filling."""
    return _ENVIRONMENT.from_string(template)


@cache
def _jobs() -> dict[str, dict[str, Any]]:
    text = (CONTENT / "hazards" / "ppe.yaml").read_text(encoding="utf-8")
    jobs: dict[str, dict[str, Any]] = yaml.safe_load(text)["jobs"]
    return jobs


def job_title(job: str) -> str:
    """What a job of ppe.yaml is called."""
    return str(_jobs()[job]["title"])


def shutoff_valves(plant: Plant, vessel: str) -> list[str]:
    """Ids of the valves that shut a vessel's (or role's) liquid in: of each line and hose by which it can run
    out, the first that is no throttle.
    """
    profile = plant.profile
    tank = plant.with_role(vessel)
    vessel = tank.id if tank else vessel
    found: list[str] = []
    for part in profile.lines.values():
        leaves = part.from_.partition(".")[0] == vessel
        if leaves or (part.to.partition(".")[0] == vessel and _runs_out(plant, part.to)):
            found += _first_stop(plant, part.valves if leaves else part.valves[::-1])
    for hose in profile.hoses.values():
        if hose.fixed.partition(".")[0] == vessel:
            found += _first_stop(plant, hose.valves)
    return list(dict.fromkeys(found))


def shutoff_labels(plant: Plant, vessel: str) -> list[str]:
    """Painted labels of ``shutoff_valves``."""
    return [plant.label(valve) for valve in shutoff_valves(plant, vessel)]


def _first_stop(plant: Plant, valves: Sequence[str]) -> list[str]:
    """The first valve that shuts off: a throttle is slow to close, a check valve cannot be closed."""
    kinds = plant.profile.valves
    stops = [valve for valve in valves if kinds[valve].kind not in NO_STOP]
    return stops[:1] or list(valves[:1])


def _runs_out(plant: Plant, ref: str) -> bool:
    """Whether a port that is filled through stands in the liquid and would let it out again."""
    vessel, _, name = ref.partition(".")
    port = plant.profile.vessels[vessel].ports.get(name)
    return port is not None and port.space == "liquid" and port.dip_end_m is None


def spout_valves(plant: Plant, vessel_id: str) -> list[str]:
    """Valves of lines that lead from a vessel into the open, lowest port first."""
    ports = plant.profile.vessels[vessel_id].ports
    found = []
    for line in plant.profile.lines.values():
        owner, _, port = line.from_.partition(".")
        if owner == vessel_id and line.to == "open" and line.valves:
            found.append((ports[port].mouth_m, line.valves[0]))
    return [valve for _, valve in sorted(found)]
