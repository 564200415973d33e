"""Procedures as data become numbered steps for this plant, each file of content/procedures in its order."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from generator.figures.record import FigureBook
from generator.operations import emergency, flush, heaters, inject, plain, transfer
from generator.operations.facts import Facts, facts, holds
from generator.operations.maker import LineUps, Maker
from generator.operations.steps import Procedure
from generator.operations.wording import Words
from generator.plant.lineup import LineUp, Want
from generator.plant.plant import Plant
from generator.problems import CONTENT, Place, Problem

Operation = Callable[[Maker, Any, Mapping[str, Any]], None]

OPERATIONS: dict[str, Operation] = {
    **dict.fromkeys(plain.KINDS, plain.sentence),
    "hold": plain.hold,
    "dress": plain.dress,
    "lock_heaters": heaters.lock_heaters,
    "prove_cover": heaters.prove_cover,
    "heater_off": heaters.heater_off,
    "heat": heaters.heat,
    "cool": heaters.cool,
    "transfer": transfer.transfer,
    "circulate": transfer.circulate,
    "stop_circulation": transfer.stop_circulation,
    "check_circulation": transfer.check_circulation,
    "inject": inject.inject,
    "shut_in": inject.shut_in,
    "take": plain.take,
    "scene": emergency.scene,
    "flush": flush.flush,
}

#: From here on a wait is longer than a person stays (common practice, no source), s.
LONG_WAIT_S = 4 * 3600.0
#: Facts, and the figures of the waits that decide them.
LONG_WAITS = {
    "long_drying": "drying_time",
    "long_fuel_drying": "fuel_drying_time",
    "long_cool_oil": "cool_to_preheat_time",
    "long_cool_tower": "cool_to_tower_time",
}

# What may stand beside an operation in a procedure file.
OPTIONS = ("expected", "otherwise", "blank", "messages", "equipment", "valves", "acts")
BESIDE = ("when", "heading", "mark", "share", "same", "__line__")

# Numbers of procedures by group: 21 is the first of "Run a batch". Letters would clash with painted labels.
FIRST = {"before": 11, "run": 21, "finish": 41, "wrong": 61, "plant": 81, "numbers": 91}


@dataclass(frozen=True)
class Expanded:
    """Procedures and the line-ups they ask for; ``problems`` are line-ups that this plant cannot do.

    ``missing`` are ids of figures that steps ask for and that could not be computed.
    """

    procedures: tuple[Procedure, ...]
    line_ups: Mapping[str, LineUp]
    problems: tuple[tuple[Want, Problem], ...]
    missing: tuple[str, ...] = ()


class _Lines(yaml.SafeLoader):
    """Keeps the line of every step, so that it can name where its words come from."""

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Any, Any]:
        made = super().construct_mapping(node, deep=True)
        if not made.keys().isdisjoint((*OPERATIONS, *BESIDE)):
            made["__line__"] = node.start_mark.line + 1
        return made


@cache
def sources() -> tuple[tuple[str, dict[str, Any]], ...]:
    """Every procedure file: (name, data), sorted by file name."""
    folder = CONTENT / "procedures"
    return tuple((path.name, _read(path)) for path in sorted(folder.glob("*.yaml")))


def _read(path: Path) -> dict[str, Any]:
    with path.open(encoding="utf-8") as stream:
        loader = _Lines(stream)
        try:
            loaded: dict[str, Any] = loader.get_single_data()
        finally:
            loader.dispose()
    return loaded


def react_pump(plant: Plant) -> str | None:
    """The pump that circulates the reacting vessel, None where the plant has no such line-up."""
    react = plant.the("react").id
    found = LineUps(plant).get(Want(react, react))
    return found.pump if found else None


def expand(plant: Plant, figures: FigureBook) -> Expanded:
    """All procedures of content for this plant. A phase that it does not use says why."""
    known = {**facts(plant), **waits(figures)}
    words = Words(plant, figures, known)
    line_ups = LineUps(plant)
    words.knows(spill_limit=emergency.places(plant)["spill_limit"])
    words.teach(driver=lambda one, other: line_ups.driver(Want(words.equipment(one), words.equipment(other))))
    words.teach(fuel_left=lambda: _fuel_left(plant, words, line_ups))
    used = [(name, data) for name, data in sources() if holds(data.get("when"), known) or "unused" in data]
    numbers = _numbers(data for _, data in used)
    # A sentence that sends the reader on names number and title, as they stand at the head of that procedure.
    called = {str(data["id"]): words.fill(data["title"]) for _, data in sources()}
    called |= {id_: f"{number} {called[id_]}" for id_, number in numbers.items()}
    words.teach(procedure=called.__getitem__)
    procedures = [
        _procedure(name, data, numbers[str(data["id"])], plant, figures, words, known, line_ups)
        for name, data in used
    ]
    return Expanded(
        tuple(procedures), dict(line_ups.found), tuple(line_ups.problems.values()), tuple(words.missing)
    )


def _numbers(used: Iterable[Mapping[str, Any]]) -> dict[str, str]:
    """The number of each procedure by its id, counted within its group."""
    counts: dict[str, int] = {}
    numbers = {}
    for data in used:
        group = str(data["group"])
        numbers[str(data["id"])] = str(FIRST[group] + counts.get(group, 0))
        counts[group] = counts.get(group, 0) + 1
    return numbers


def waits(figures: FigureBook) -> dict[str, bool]:
    """Facts of how long a batch stands: whether it stays warm, and whether somebody may want to go home."""
    long = {
        fact: (found := figures.get(figure)) is not None and found.value >= LONG_WAIT_S
        for fact, figure in LONG_WAITS.items()
    }
    return {"stays_warm": "drain_by" not in figures, "oil_pumped": "oil_in_time" in figures, **long}


def _fuel_left(plant: Plant, words: Words, line_ups: LineUps) -> str:
    """What stays of the last batch's fuel below the outlet of the vessel that the next oil goes into."""
    source, washed = words.equipment("dry"), plant.profile.recipe.washing.method == "water"
    if source != words.equipment("wash" if washed else "ester"):
        return ""
    found = line_ups.peek(Want(source, words.equipment("fuel")))
    heel = f"{source}.{found.streams[0].outlet}.heel" if found is not None else ""
    figure = words.figure(heel)
    return words.value(heel) if figure is not None and figure.shown.first.number != "0" else ""


def _procedure(
    name: str,
    data: Mapping[str, Any],
    number: str,
    plant: Plant,
    figures: FigureBook,
    words: Words,
    known: Facts,
    line_ups: LineUps,
) -> Procedure:
    # A phase or stage that this plant does not have keeps its title and says why, never a gap.
    has = holds(data.get("when"), known)
    told = data if has else {}
    maker = Maker(plant, figures, words, known, line_ups, number, Place(f"content/procedures/{name}"))
    for entry in told.get("steps", ()):
        _expand_entry(maker, entry, name)
    return Procedure(
        id=str(data["id"]),
        number=number,
        title=words.fill(data["title"]),
        group=str(data["group"]),
        phase=str(data["phase"]),
        purpose=words.fill(told.get("purpose", "")),
        before=tuple(_kept(told.get("before", ()), words, known)),
        ppe=tuple(told.get("ppe", ())),
        steps=tuple(maker.steps),
        ends=words.fill(told.get("ends", "")),
        unused=None if has else words.fill(data["unused"]),
        substances=tuple(told.get("substances", ())),
        leaves=tuple(maker.vessel(role) for role in told.get("leaves", ())),
    )


def _kept(lines: Iterable[Any], words: Words, known: Facts) -> Iterable[str]:
    for line in lines:
        if isinstance(line, str):
            yield words.fill(line)
        elif holds(line.get("when"), known):
            yield words.fill(line["say"])


def _shared(same: Mapping[str, Any]) -> Iterable[tuple[str, Mapping[str, Any]]]:
    """Entries that another procedure lends under the name ``steps``, with their files.

    ``reads`` says which words in them this procedure reads as others: the names of its own figures.
    """
    for name, data in sources():
        for entry in data.get("steps", ()):
            if entry.get("share") == same["steps"]:
                yield name, _reread(entry, same.get("reads", {}))


def _reread(part: Any, reads: Mapping[str, str]) -> Any:
    if isinstance(part, dict):
        return {key: _reread(value, reads) for key, value in part.items()}
    if isinstance(part, list):
        return [_reread(value, reads) for value in part]
    if isinstance(part, str):
        for old, new in reads.items():
            part = part.replace(old, new)
    return part


def _expand_entry(maker: Maker, entry: Mapping[str, Any], name: str) -> None:
    if not holds(entry.get("when"), maker.known):
        return
    if "same" in entry:
        for owner, shared in _shared(entry["same"]):
            _expand_entry(maker, shared, owner)
        return
    maker.place = Place(f"content/procedures/{name}", int(entry["__line__"]))
    if "mark" in entry:
        maker.marks[str(entry["mark"])] = f"{maker.number}.{len(maker.steps) + 1}"
    if "heading" in entry:
        maker.heading = maker.words.fill(entry["heading"])
    operations = [key for key in entry if key in OPERATIONS]
    unknown = [k for k in entry if k not in (*OPERATIONS, *OPTIONS, *BESIDE)]
    if unknown or len(operations) > 1:
        raise ValueError(f"{maker.place}: {unknown or operations}")
    if operations:
        options = {key: entry[key] for key in OPTIONS if key in entry}
        maker.operation, maker.wets = operations[0], ()
        OPERATIONS[operations[0]](maker, entry[operations[0]], options)
