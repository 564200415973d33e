"""One change at a time on three rigs: what the register calls changed is what renders otherwise."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from generator.handbook.book import Issue
from generator.handbook.pages import pages
from generator.problems import CONTENT
from generator.register.compare import Side, of_outputs
from generator.register.notice import notice
from generator.register.outputs import Outputs, Quiet
from generator.register.snapshot import told
from generator.register.survey import survey

# What is done, the rig, the texts that are replaced.
Q, L, H = "quillmere", "larkstead", "highfold"
# ruff: noqa: E501 - a change reads best on one line
CHANGES: list[tuple[str, str, list[tuple[str, str]]]] = [
    ("element power", L, [("rated_power: 4.5 kW", "rated_power: 5.5 kW")]),
    ("element volts", L, [("supply_voltage: 120 V", "supply_voltage: 208 V")]),
    ("element height", L, [("top_of_hot_part: 9 in", "top_of_hot_part: 8 in")]),
    ("valve renumbered", L, [('v6: {label: "6"', 'v6: {label: "16"')]),
    ("valve renamed in words", L, [("label: red handle", "label: blue handle")]),
    ("valve moved in words", L, [("place: Fuel hose", "place: Fuel hose at the wall")]),
    ("normal position", L, [('{label: "2", kind: ball, place', '{label: "2", kind: ball, locked: yes, place')]),
    ("valve of another kind", L, [("v7: {label: \"7\", kind: ball", "v7: {label: \"7\", kind: gate")]),
    ("valve added", L, [
        ("  sampler: {label: S", "  v8: {label: \"8\", kind: ball, place: Pump outlet}\n  sampler: {label: S"),
        ("to: discharge, holds: 0.1 gal}", "to: discharge, valves: [v8], holds: 0.1 gal}"),
    ]),
    ("tank swapped for a wider one", L, [("diameter: 24 in, height: 48 in", "diameter: 26 in, height: 48 in")]),
    ("tank raised", L, [("elevation: 38 in", "elevation: 40 in")]),
    ("pump flow", L, [("flow: 6 gpm", "flow: 5 gpm")]),
    ("pump power", L, [("power: 370 W", "power: 550 W")]),
    ("altitude", L, [("altitude: ", "altitude: 1")]),
    ("purity", L, [("purity: 98 %", "purity: 96 %")]),
    ("methanol", L, [("percent: 22 %", "percent: 23 %")]),
    ("vent bore", L, [("bore: 1.5 in", "bore: 2 in")]),
    ("titration", L, [("highest_titration: ", "highest_titration: 1")]),
    ("muster point", L, [("Mailbox at the road", "Oak by the gate")]),
    ("gauge", L, [("gauge: {kind: dipstick, resolution: 1 gal}", "gauge: {kind: dipstick, resolution: 2 gal}")]),
    ("thermometer", L, [("thermometer: {label: TI, resolution: 1 degF}", "thermometer: {label: TI, resolution: 2 degF}")]),
    ("line holds more", L, [("valves: [v1], holds: 0.15 gal", "valves: [v1], holds: 0.3 gal")]),
    ("hose renamed", L, [("label: clear hose", "label: striped hose")]),
    ("another oil", L, [("  oil: Used", "  oil: Well filtered used")]),
    ("supply flow", L, [("carries: water, flow: 3 gpm", "carries: water, flow: 2 gpm")]),
    ("fill limit", L, [("max_fill: 85 %", "max_fill: 84 %")]),
    ("can stirred by air", L, [("{label: CRANK, kind: hand", "{label: CRANK, kind: air")]),
    ("circuit", L, [("circuit: 15 A", "circuit: 20 A")]),
    ("element power", Q, [("rated_power: 4 kW", "rated_power: 3.5 kW")]),
    ("valve renumbered", Q, [('v06: {label: "06"', 'v06: {label: "16"')]),
    ("valves that change labels", Q, [('v06: {label: "06"', 'v06: {label: "07"'), ('v07: {label: "07"', 'v07: {label: "06"')]),
    ("catalyst", Q, [("base: KOH\n    purity: 90 %", "base: NaOH\n    purity: 98 %"), ("{base: KOH, made_from", "{base: NaOH, made_from")]),
    ("pump flow", Q, [("flow: 40 L/min", "flow: 38 L/min")]),
    ("tower", Q, [("bed_volume: 25 L", "bed_volume: 20 L")]),
    ("restrictor", Q, [("restrictor: {flow: 75 L/h}", "restrictor: {flow: 60 L/h}")]),
    ("condenser", Q, [("water_flow: 4 L/min", "water_flow: 5 L/min")]),
    ("set point", Q, [("set_point: 54 degC", "set_point: 53 degC")]),
    ("gas alarm", Q, [("warns_at_ppm: 200", "warns_at_ppm: 180")]),
    ("altitude", H, [("altitude: 2600 m", "altitude: 2400 m")]),
    ("price", H, [("electricity: 0.22 per kWh", "electricity: 0.35 per kWh")]),
    ("keeper", H, [("Yard keeper, 555 0176", "Dairy keeper, 555 0176")]),
    ("own value", H, [("conversion: 97 %", "conversion: 96 %")]),
    ("base's valve renumbered from above", H, [("site:\n", 'valves: {v06: {label: "16"}}\nsite:\n')]),
]  # fmt: skip


RIGS = CONTENT.parent / "equipment_profiles"
_NOT_PRINTED = re.compile(r' (?:href|id)="[^"]*"| (?:class)="[^"]*\bfor-screen\b[^"]*"')


@dataclass(frozen=True)
class Rendered:
    """``documents`` maps an id to the whole of what is rendered for it, ``side`` is what is compared."""

    side: Side
    documents: dict[str, str]


def rendered(path: Path) -> Rendered:
    """A profile's handbook, rendered anew."""
    outputs = Outputs(survey(path).book, Issue(None, "2030-04-02", draft=True), {}, Quiet())
    made = pages(outputs.book, outputs.issue, outputs._hung([card.document() for card in outputs.cards]))
    outputs.told = told(made, outputs.cards)
    documents = {page.id: page.title + page.body_html for page in made}
    for card in outputs.cards:
        foot = f"{card.plant}|{card.procedure}|{card.posted_where}"
        documents[card.id] = card.title + card.html_body + foot
    return Rendered(
        of_outputs(path, outputs), {k: _NOT_PRINTED.sub("", html) for k, html in documents.items()}
    )


@cache
def before(rig: str) -> Rendered:
    """A demonstration rig as it stands."""
    return rendered(RIGS / f"{rig}.yaml")


def edited(rig: str, edits: list[tuple[str, str]], folder: Path) -> Path:
    """A copy of a demonstration rig with texts replaced that stand in it once; bases are copied too."""
    for base in ("quillmere", "larkstead"):
        (folder / f"{base}.yaml").write_bytes((RIGS / f"{base}.yaml").read_bytes())
    text = (RIGS / f"{rig}.yaml").read_text(encoding="utf-8")
    for old, new in edits:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path = folder / f"{rig}.yaml"
    path.write_text(text, encoding="utf-8")
    return path


# Read by rules and by the change notice, but no document prints it.
PRINTED_NOWHERE = ("vent bore", "line holds more", "condenser")


@pytest.mark.parametrize(
    ("name", "rig", "edits"), CHANGES, ids=[f"{rig}-{name}" for name, rig, _ in CHANGES]
)
def test_what_is_called_changed_is_what_renders_otherwise(
    name: str, rig: str, edits: list[tuple[str, str]], tmp_path: Path
) -> None:
    old, new = before(rig), rendered(edited(rig, edits, tmp_path))
    made = notice(old.side, new.side)
    called = {one.id for one in (*made.down, *made.up, *made.chapters)}
    both = {**old.documents, **new.documents}
    otherwise = {id_ for id_ in both if old.documents.get(id_) != new.documents.get(id_)}
    assert {card.id for card in made.leave} == {
        id_ for id_ in both if id_.startswith("card-") and id_ not in otherwise
    }
    assert made.changes
    assert called == otherwise | ({"page-cards", "cover"} if otherwise else set())
    assert bool(called) is (name not in PRINTED_NOWHERE)


def test_comments_and_the_order_of_keys_change_nothing(tmp_path: Path) -> None:
    edits = [
        ("name: Larkstead barn rig", "# a comment only\nname:   Larkstead barn rig   # and another"),
        ("    closed: yes\n    max_fill: 85 %", "    max_fill: 0.85\n    closed: true"),
        ("power: 370 W", "power: 0.37 kW"),
    ]
    old, new = before(L), rendered(edited(L, edits, tmp_path))
    assert old.documents == new.documents
    assert notice(old.side, new.side).nothing
    assert notice(old.side, new.side).changes == ()
