"""Cards for what hurts: methanol, lye, making methoxide, emergency. Words are those of content/hazards."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from generator import quantities
from generator.handbook import hazards
from generator.handbook.book import Book
from generator.handbook.card import Body, Card, Filing, build
from generator.handbook.card_lineup import Line
from generator.handbook.desk import Desk, words
from generator.handbook.heater_state import HeaterLine, locked_lines
from generator.handbook.marks import clean, tag
from generator.operations import emergency
from generator.operations.facts import facts
from generator.operations.wording import shutoff_labels

# Who is called, and the number in pieces that are never broken.
Call = tuple[str, list[str]]


def methanol_card(book: Book) -> Card:
    """What methanol does, what to wear, what never to do, first aid."""
    desk = Desk(book)
    tank = book.plant.with_role("methanol")
    where = desk.text(words()["posted"]["methanol"], {"where": desk.tag(tank.id) if tank else "–"})
    return _substance(desk, "methanol", "methanol", "methanol", where, locked_lines(desk, "before_methanol"))


def lye_card(book: Book) -> Card:
    """The lye that the recipe uses, and no other."""
    desk = Desk(book)
    key = book.profile.recipe.catalyst.base.lower()
    heaters = locked_lines(desk, "before_lye")
    return _substance(desk, "lye", key, f"lye-{key}", words()["posted"]["lye"], heaters)


def _substance(desk: Desk, kind: Any, key: str, name: str, where: str, heaters: list[HeaterLine]) -> Card:
    texts, sheet = words()["substance"], hazards.sheet("substances")[key]
    items = hazards.sheet("ppe")["items"]
    safety, contacts = desk.profile.safety, desk.profile.site.contacts
    aid = sheet["first_aid"]
    rows = [
        (texts[part], aid[part][: texts["most_aid"]]) for part in ("eyes", "skin", "inhaled", "swallowed")
    ]
    context = {
        "signal": sheet["signal"],
        "short": sheet["short"],
        "leave": texts["leave"].format(number=contacts.emergency_number),
        "calls": _calls(texts, contacts.emergency_number, contacts.poison_centre),
        "places": [
            (texts["eyewash"], safety.eyewash_place),
            *([(texts["shower"], safety.shower_place)] if safety.shower_place else []),
        ],
    }
    groups = [
        {"kind": "wear", "lines": [items[item]["words"] for item in sheet["ppe"]]},
        {"kind": "never", "lines": sheet["never"][: texts["most_never"]]},
        {
            "kind": "spill",
            "lines": sheet["spill"]["ours"][: texts["most_spill"]],
            "leave": hazards.leave_when(desk.book, sheet),
        },
        {"kind": "aid", "rows": rows, "until": aid["until"]},
        {"kind": "calls"},
    ]
    return build(
        desk,
        kind,
        name,
        str(texts["title"][key]),
        heaters,
        Body("substance", groups, context),
        Filing(where),
    )


def methoxide_card(book: Book) -> Card | None:
    """Making methoxide in this plant's can; None where no vessel is for it."""
    desk, texts = Desk(book), words()["methoxide"]
    tank = book.plant.with_role("methoxide")
    if tank is None:
        return None
    safety, vessel, drum = desk.profile.safety, tank.vessel, book.plant.with_role("methanol")
    facts = {
        "can": desk.tag(tank.id),
        "drum": desk.tag(drum.id) if drum else "",
        "fan": tag(safety.fan.label) if safety.fan else "",
        "agitator": tag(vessel.agitator.label) if vessel.agitator else "",
        "thermometer": tag(vessel.thermometer.label) if vessel.thermometer else "",
        desk.profile.recipe.catalyst.base.lower(): " ",
        "cool": _cool(desk, str(texts["cool"])),
    }
    steps = [step for step in texts["steps"] if not step.get("needs") or facts.get(step["needs"])]
    numbered = [(n, step["in"], Line(desk.text(step["text"], facts))) for n, step in enumerate(steps, 1)]
    groups = [
        {
            "heading": heading,
            "lines": [(n, line) for n, name, line in numbered if name == key],
            "message": texts["message"] if key == texts["message_in"] else None,
        }
        for key, heading in texts["groups"].items()
    ]
    keys = [(name, value) for figure, name in texts["numbers"].items() if (value := desk.value(figure))]
    return build(
        desk,
        "methoxide",
        "methoxide",
        texts["title"],
        locked_lines(desk, "before_methanol"),
        Body(
            "methoxide",
            groups,
            {
                "card_keys": keys,
                "ends": desk.text(texts["ends"], facts),
                "messages": hazards.messages(book),
            },
            tuple(len(group["lines"]) for group in groups),
        ),
        Filing(desk.text(words()["posted"]["methoxide"], {"where": desk.tag(tank.id)})),
    )


def _cool(desk: Desk, limit: str) -> str:
    """A temperature of content in this plant's units, rounded down."""
    kelvin = quantities.parse(limit, "temperature")
    return quantities.show(kelvin, "temperature", units=desk.profile.units, rounding="maximum").text


def emergency_card(book: Book) -> Card:
    """What you see, what to do now, who to call, where things are."""
    desk, texts = Desk(book), words()["emergency"]
    profile = book.profile
    scene = emergency.scenes_for(facts(book.plant))[texts["scene"]]
    known = {
        **{key: clean(text) for key, text in emergency.places(book.plant).items()},
        "stop_place": profile.safety.emergency_stop.place,
        "methoxide_valve": " ".join(tag(label) for label in shutoff_labels(book.plant, "methoxide")),
    }
    extinguishers = [f"{e.place}: {texts['kinds'][e.kind]}" for e in profile.safety.extinguishers]
    places = [
        (texts["muster"], profile.site.contacts.muster_point),
        (texts["stop"], profile.safety.emergency_stop.place),
        (texts["isolator"], profile.safety.isolator_place),
        (texts["source_valve"], known["methoxide_valve"]),
        (texts["eyewash"], profile.safety.eyewash_place),
        (texts["shower"], profile.safety.shower_place or ""),
        (texts["extinguishers"], "; ".join(extinguishers)),
        (texts["spill_kit"], profile.safety.spill_kit_place),
    ]
    context = {
        "see": scene["see"],
        "calls": _calls(texts, known["emergency_number"], known["poison_centre"]),
        "say": hazards.filled(texts["say"], known),
        "places": [(name, place) for name, place in places if place],
    }
    return build(
        desk,
        "emergency",
        "emergency",
        texts["title"],
        [],
        Body(
            "emergency",
            [
                {"kind": "steps", "steps": [_worded(step, known) for step in scene["do_now"]]},
                {"kind": "places"},
            ],
            context,
        ),
        Filing(words()["posted"]["emergency"]),
    )


def _calls(texts: Mapping[str, Any], emergency_number: str, poison_centre: str) -> list[Call]:
    """Whom to call. A telephone number never breaks; a longer text breaks at its blanks only."""
    numbers = ((texts["call"], clean(emergency_number)), (texts["poison"], clean(poison_centre)))
    most = int(words()["ui"]["longest_number"])
    return [(name, [text] if len(text) <= most else text.split()) for name, text in numbers]


def _worded(step: str | Mapping[str, str], known: Mapping[str, str]) -> dict[str, str]:
    """A step of the emergency page with what the card names by its place or label."""
    if isinstance(step, str):
        return {"if": "", "then": _named(step, known)}
    return {"if": _named(step["if"], known), "then": _named(step["then"], known)}


def _named(sentence: str, known: Mapping[str, str]) -> str:
    for entry in words()["emergency"]["named"]:
        sentence = sentence.replace(entry["step"], entry["card"])
    return hazards.filled(sentence, known)
