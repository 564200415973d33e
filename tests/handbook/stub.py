"""A small book for the tests of pages: a real profile's plant, figures and line-ups, procedures by hand."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from generator.figures.compute import compute
from generator.figures.record import FigureBook
from generator.handbook.book import Book, Issue
from generator.handbook.marks import tag, valued
from generator.operations.steps import Procedure, Step
from generator.plant.lineup import LineUp, Want
from generator.plant.lineups import line_up
from generator.plant.plant import Plant
from generator.problems import Place
from generator.profile.load import load
from generator.rehearsal.campaign import Report

ROOT = Path(__file__).resolve().parents[2]
PROFILES = ROOT / "equipment_profiles"
#: A rehearsal that nobody held: the tables of wrong valves are made, the plots are not.
NOTHING_WRONG = Report((), (), ())
ISSUE = Issue(3, "2026-03-14", draft=False)
DRAFT = Issue(None, "2026-03-14", draft=True)

WANTS = {
    "quillmere": (
        Want("oil_drum", "dryer"),
        Want("dryer", "dryer"),
        Want("dryer", "reactor"),
        Want("reactor", "reactor", beside="charge_can"),
        Want("reactor", "settler"),
        Want("settler", "finisher"),
        Want("finisher", "fuel_tank", via="tower"),
    ),
    "larkstead": (
        Want("oil_barrel", "tank"),
        Want("tank", "tank"),
        Want("tank", "tank", beside="methoxide_can"),
    ),
}
PUMPS = {"quillmere": ("p1", "p2"), "larkstead": ("pump", "pump")}


def line_ups(plant: Plant, name: str) -> dict[str, LineUp]:
    made = (line_up(plant, want) for want in WANTS[name])
    return {found.id: found for found in made}


def procedures(plant: Plant, figures: FigureBook, first_line_up: str) -> tuple[Procedure, ...]:
    place = Place("content/procedures/stub.yaml", 7)
    vessel = next(iter(plant.tanks.values()))
    valve = next(iter(plant.profile.valves.values()))
    ceiling, oil = valued(figures["ceiling"]), valued(figures["oil_volume"])
    steps = (
        Step(
            "2.1",
            "lock",
            "lock_heaters",
            f"Lock heater of {tag(vessel.label)} off.",
            place,
            messages=("element_must_be_covered", "methanol_vapour"),
            heading="Set the line-up",
        ),
        Step(
            "2.2",
            "open_valve",
            "transfer",
            f"Open {tag(valve.label)}.",
            place,
            expected="Nothing drips at the joints.",
            otherwise="Close it. Tell the keeper.",
            valves=(next(iter(plant.profile.valves)),),
            line_up=first_line_up,
        ),
        Step(
            "2.3",
            "confirm",
            "hold",
            "A second person reads the label and signs.",
            place,
            hold=True,
            blank="Initials",
        ),
        Step(
            "2.4",
            "watch",
            "transfer",
            f"Pump {oil}. Stay below {ceiling}.",
            place,
            heading="Run",
            otherwise="Stop the pump. Find the valve that stands wrong before you start again.",
            expected="The level rises.",
            blank="Level at the end",
            messages=("overfill",),
        ),
    )
    many = tuple(
        Step(
            f"3.{n}",
            "open_valve",
            "transfer",
            f"Open {tag(valve.label)} for the {n}th time and look.",
            place,
            otherwise="Close it again.",
            messages=("overfill",) if n % 7 == 0 else (),
        )
        for n in range(1, 31)
    )
    common = {
        "ppe": ("goggles", "butyl_gloves"),
        "before": ("Fan on.", f"Level in {tag(vessel.label)} read."),
    }
    return (
        Procedure(
            "charge",
            "2",
            "Charge the oil",
            "run",
            "normal",
            "Bring dry oil into the reactor.",
            steps=steps,
            ends=f"Oil in {tag(vessel.label)}, pump off.",
            figures=("oil_volume", "ceiling"),
            **common,
        ),
        Procedure(
            "long",
            "3",
            "A long one",
            "run",
            "normal",
            "To see pages break.",
            steps=many,
            ends="Done.",
            **common,
        ),
        Procedure(
            "wash",
            "4",
            "Water wash",
            "finish",
            "normal",
            "Wash soap out.",
            (),
            (),
            (),
            "",
            unused="Soap is taken out by the tower.",
        ),
        Procedure(
            "restart",
            "5",
            "Restart",
            "wrong",
            "restart",
            "Start again after a stop.",
            steps=steps[:2],
            ends="Running.",
            **common,
        ),
    )


def from_profile(path: Path, name: str) -> Book:
    loaded = load(path)
    plant = Plant(loaded.profile)
    react, finish = PUMPS[name]
    figures = compute(plant, react_pump=react, finish_pump=finish)
    ups = line_ups(plant, name)
    return Book(loaded, plant, figures, ups, procedures(plant, figures, next(iter(ups))), (), NOTHING_WRONG)


@cache
def book(name: str = "quillmere") -> Book:
    return from_profile(PROFILES / f"{name}.yaml", name)
