"""A Book for the cards' tests: a demo rig, computed figures and line-ups, procedures made by hand."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Mapping
from pathlib import Path

from generator.figures.compute import compute
from generator.handbook.book import Book, Issue
from generator.operations.steps import Procedure, Step
from generator.plant.lineup import LineUp, Want
from generator.plant.lineups import line_up
from generator.plant.plant import Plant
from generator.problems import Place
from generator.profile.load import load
from generator.rehearsal.campaign import Report

RIGS = Path(__file__).resolve().parents[2] / "equipment_profiles"
#: A rehearsal that nobody held: the tables of wrong valves are made, the plots are not.
NOTHING_WRONG = Report((), (), ())
ISSUE = Issue(3, "2031-05-17", draft=False)

WANTS = {
    "quillmere": [
        Want("oil_drum", "dryer"),
        Want("dryer", "dryer"),
        Want("dryer", "reactor"),
        Want("methanol_drum", "charge_can"),
        Want("reactor", "reactor"),
        Want("reactor", "reactor", beside="charge_can"),
        Want("reactor", "settler"),
        Want("settler", "glycerin_drum"),
        Want("settler", "finisher"),
        Want("finisher", "finisher"),
        Want("finisher", "fuel_tank", via="tower"),
        Want("finisher", "reactor"),
    ],
    "larkstead": [
        Want("oil_barrel", "tank"),
        Want("methanol_drum", "methoxide_can"),
        Want("tank", "tank"),
        Want("tank", "tank", beside="methoxide_can"),
        Want("tank", "glycerin_can"),
        Want("water", "tank"),
        Want("tank", "wash_drum"),
        Want("tank", "fuel_drum"),
    ],
}

RUN = [
    ("charge-oil", "Charge the oil", ("oil_volume",)),
    ("dry-oil", "Dry the oil", ("drying_set_point", "drying_time")),
    ("titrate", "Titrate the oil that was charged and weigh the lye", ("catalyst_usual",)),
    ("methoxide", "Make the methoxide", ("methanol_volume",)),
    ("preheat", "Bring the oil to the mixing temperature", ("preheat",)),
    ("inject", "Let the methoxide in", ("injection_time", "mix_temperature")),
    ("react", "React", ("reaction_set_point", "reaction_time")),
    ("settle", "Settle", ("settle_time",)),
    ("drain-glycerin", "Drain the glycerin", ("glycerin_usual", "glycerin_highest")),
    ("conversion", "Test the conversion", ()),
]
FINISH = [
    ("strip", "Take the methanol off", ("strip_set_point", "sweep_time")),
    ("water-wash", "Wash", ()),
    ("dry-wash", "Run the fuel through the tower", ("tower_flow",)),
    ("final-tests", "Final tests", ()),
    ("store", "Store the fuel", ("fuel_volume",)),
]


def procedures(line_ups: Mapping[str, LineUp]) -> tuple[Procedure, ...]:
    """Two groups of procedures; the injection's has a hold point and sets a line-up."""
    place = Place("content/procedures/stub.yaml", 1)
    injection = next(id_ for id_ in line_ups if "-with-" in id_)
    made = []
    for group, first, rows in (("run", 21, RUN), ("finish", 41, FINISH)):
        for n, (id_, title, figures) in enumerate(rows):
            number = str(first + n)
            inject = id_ == "inject"
            step = Step(
                f"{number}.1", "do", "do", "Do it.", place, hold=inject, line_up=injection if inject else None
            )
            made.append(
                Procedure(id_, number, title, group, "normal", "", (), (), (step,), "Done.", figures=figures)
            )
    return tuple(made)


def book(rig: str, tmp_path: Path | None = None, change: Callable[[str], str] | None = None) -> Book:
    """The rig's book; ``change`` alters the profile's text first, in a copy under ``tmp_path``."""
    path = RIGS / f"{rig}.yaml"
    if change is not None and tmp_path is not None:
        path = Path(shutil.copy(path, tmp_path / f"{rig}.yaml"))
        before = path.read_text(encoding="utf-8")
        after = change(before)
        assert after != before, "the change changed nothing"
        path.write_text(after, encoding="utf-8")
    loaded = load(path)
    plant = Plant(loaded.profile)
    pumps = [id_ for id_, pump in loaded.profile.pumps.items() if pump.kind != "hand"]
    figures = compute(plant, react_pump=pumps[0], finish_pump=pumps[-1])
    line_ups = {want.id: line_up(plant, want) for want in WANTS[rig]}
    return Book(loaded, plant, figures, line_ups, procedures(line_ups), (), NOTHING_WRONG)
