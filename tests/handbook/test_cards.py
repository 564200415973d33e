"""Which cards there are, what their first line says of the heaters, and when their fingerprints change."""

from __future__ import annotations

import re
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import get_args

import pytest

from generator.handbook import card_lineup, card_marks, card_numbers
from generator.handbook.book import Book
from generator.handbook.card import Card, Kind
from generator.handbook.cards import cards
from generator.handbook.desk import Desk, words
from generator.handbook.document import reading
from generator.handbook.heater_state import heater_lines
from generator.handbook.render import us_first
from generator.operations.steps import plain
from generator.operations.wording import shutoff_labels
from tests.handbook import stub_cards

HOSTILE = "<script>alert(1)</script> {{71*73}}"


@cache
def book(rig: str) -> Book:
    return stub_cards.book(rig)


@cache
def by_id(rig: str) -> dict[str, Card]:
    return {card.id: card for card in cards(book(rig))}


def text(card: Card) -> str:
    return " ".join(reading(card.html_body).replace("\x01", "").split())


@pytest.mark.parametrize("rig", ["quillmere", "larkstead"])
def test_every_kind_of_card_is_there(rig: str) -> None:
    kinds = {card.kind for card in by_id(rig).values()}
    assert kinds == set(get_args(Kind))
    line_ups = {line_up for card in by_id(rig).values() for line_up in card.line_ups}
    assert line_ups == set(book(rig).line_ups)


def test_the_lye_card_is_for_the_lye_that_the_recipe_uses() -> None:
    assert "card-lye-koh" in by_id("quillmere") and "card-lye-naoh" not in by_id("quillmere")
    assert "card-lye-naoh" in by_id("larkstead") and "card-lye-koh" not in by_id("larkstead")


@pytest.mark.parametrize("rig", ["quillmere", "larkstead"])
def test_the_heater_state_is_the_first_line(rig: str) -> None:
    rules = words()["heater_state"]
    states = [rules[key] for key in ("locked", "allowed", "no_heater")]
    for card in by_id(rig).values():
        body = str(card.html_body).lstrip()
        if card.kind == "emergency":
            assert body.startswith("<h1>") and body.index('<p class="see">') < body.index('<h2 class="now">')
        else:
            assert body.startswith('<div class="heaters">')
            first = body[: body.index("<h1>")]
            assert any(state in first for state in states), card.id


# Worked out by hand from the rig's description: what is let in, emptied or filled, or may hold methanol.
EVERY = ["dryer.element", "reactor.element", "finisher.element"]


@pytest.mark.parametrize(
    ("rig", "line_up", "locked", "allowed"),
    [
        ("quillmere", "oil-drum-to-dryer", ["dryer.element"], []),
        ("quillmere", "around-dryer", [], ["dryer.element"]),
        ("quillmere", "dryer-to-reactor", ["dryer.element", "reactor.element"], []),
        ("quillmere", "methanol-drum-to-charge-can", EVERY, []),
        ("quillmere", "around-reactor", [], ["reactor.element"]),
        ("quillmere", "around-reactor-with-charge-can", EVERY, []),
        ("quillmere", "reactor-to-settler", ["reactor.element"], []),
        ("quillmere", "settler-to-glycerin-drum", EVERY, []),
        ("quillmere", "settler-to-finisher", ["finisher.element"], []),
        ("quillmere", "finisher-to-reactor", ["finisher.element", "reactor.element"], []),
        ("larkstead", "around-tank-with-methoxide-can", ["tank.element"], []),
        ("larkstead", "tank-to-glycerin-can", ["tank.element"], []),
        ("larkstead", "oil-barrel-to-tank", ["tank.element"], []),
    ],
)
def test_heater_state_of_each_transfer(rig: str, line_up: str, locked: list[str], allowed: list[str]) -> None:
    lines = heater_lines(Desk(book(rig)), book(rig).line_ups[line_up])
    found = {line.state: list(line.heaters) for line in lines}
    assert found.get("locked", []) == locked
    assert found.get("allowed", []) == allowed
    assert all(line.reasons and all(line.reasons) for line in lines)


def test_a_shared_wall_locks_the_neighbours_heater(tmp_path: Path) -> None:
    def wall(profile: str) -> str:
        return profile.replace(
            "    name: Drying tank\n", "    name: Drying tank\n    shares_wall_with: reactor\n"
        )

    changed = stub_cards.book("quillmere", tmp_path, wall)
    lines = heater_lines(Desk(changed), changed.line_ups["reactor-to-settler"])
    assert [heater for line in lines if line.state == "locked" for heater in line.heaters] == [
        "reactor.element",
        "dryer.element",
    ]


def test_line_up_card_lists_valves_in_order_and_secures_in_reverse() -> None:
    card = text(by_id("quillmere")["card-lineup-dryer-to-reactor"])
    order = [
        "Check that pump P1 is off.",
        "Open 06.",
        "Open 02.",
        "Start pump P1.",
        "Stop pump P1.",
        "Close 02.",
        "Close 06.",
    ]
    places = [card.index(line) for line in order]
    assert places == sorted(places)
    line_up = book("quillmere").line_ups["dryer-to-reactor"]
    closed = card[card.index("astray:") : card.index("others are in normal")]
    for valve in (*line_up.touching, *line_up.guard):
        assert book("quillmere").plant.label(valve) in closed


def test_injection_goes_into_a_running_circulation() -> None:
    card = text(by_id("quillmere")["card-lineup-around-reactor-with-charge-can"])
    assert "Check that P1 circulates R1" in card and "Start pump" not in card and "Stop pump" not in card
    places = [
        card.index(line) for line in ("Open B.", "Open C little by little", "Close B.", "Leave P1 running")
    ]
    assert places == sorted(places)


def test_gravity_has_no_pump_and_a_movable_vessel_is_bonded() -> None:
    card = text(by_id("quillmere")["card-lineup-settler-to-glycerin-drum"])
    assert words()["lineup"]["gravity"] in card and "Start pump" not in card
    assert "Clamp the earth wire to GLY" in card
    assert "Turn A to GLYCERIN" in card and "Turn A to FUEL" in card


def test_the_dose_table_keeps_one_unit_and_stops_at_the_highest_titration() -> None:
    for rig, unit in (("quillmere", "g"), ("larkstead", "g")):
        lines = card_numbers.dose_lines(Desk(book(rig)))
        assert {line.mass.split("\u00a0")[1] for line in lines} == {unit}
        assert float(lines[-1].titration) == book(rig).profile.feedstock.highest_titration_ml
        assert sum(line.usual for line in lines) == 1
        usual = next(line for line in lines if line.usual)
        assert usual.mass == book(rig).figures["catalyst_usual"].text
        assert f"Above {lines[-1].titration} mL" in text(by_id(rig)["card-dose"]).replace("\u00a0", " ")


def test_the_banner_names_base_purity_titrant_and_oil() -> None:
    koh, naoh = text(by_id("quillmere")["card-dose"]), text(by_id("larkstead")["card-dose"])
    assert "KOH flake, 90\u00a0% pure" in koh.replace("90 %", "90\u00a0%") and "standardised KOH" in koh
    assert "NaOH flake" in naoh and "made from this same NaOH flake" in naoh


def test_the_emergency_card_names_the_methoxide_valve_and_has_six_steps_at_most() -> None:
    # By hand: 3 is the ball valve under Larkstead's can (4 is its throttle), B the one under Quillmere's.
    for rig, label in (("quillmere", "B"), ("larkstead", "3")):
        assert shutoff_labels(book(rig).plant, "methoxide") == [label]
        card = by_id(rig)["card-emergency"]
        assert f"close {label} by hand" in text(card)
        assert card.html_body.count('<li><span class="line-number">') <= 6
        contacts = book(rig).profile.site.contacts
        for fact in (contacts.emergency_number, contacts.poison_centre, contacts.muster_point):
            assert fact in text(card)
        safety = book(rig).profile.safety
        for place in (
            safety.emergency_stop.place,
            safety.isolator_place,
            safety.eyewash_place,
            *(e.place for e in safety.extinguishers),
        ):
            assert place in text(card)


def test_temperatures_and_marks_print_the_figures_of_record() -> None:
    figures = book("quillmere").figures
    card = by_id("quillmere")["card-temperatures"]
    for figure_id in (
        "methanol_boiling_point",
        "ceiling",
        "high_limit",
        "drying_set_point",
        "reactor.cover_volume",
    ):
        assert figures[figure_id].text in card.html_body and figure_id in card.figures
    marks = by_id("quillmere")["card-marks-reactor"]
    for figure_id in (
        "reactor.fill_limit",
        "reactor.fill_limit_level",
        "reactor.charge_mark_level",
        "reactor.cover_level",
    ):
        assert figures[figure_id].text in marks.html_body and figure_id in marks.figures


def test_run_cards_stay_within_the_lines_of_their_paper(tmp_path: Path) -> None:
    small = stub_cards.book("quillmere", tmp_path, lambda s: s.replace("cards: A4", "cards: A5"))
    for made, most in ((book("quillmere"), 14), (small, 9)):
        run = [card for card in cards(made) if card.kind == "run"]
        lines = [card.html_body.count('class="line-number"') for card in run]
        assert max(lines) <= most and sum(lines) == 15
        in_group = [group.count('class="line-number"') for card in run for group in card.groups]
        assert max(in_group) <= (7 if most == 14 else 3)


def test_run_cards_are_told_apart_by_their_procedures() -> None:
    run = [card for card in cards(book("quillmere")) if card.kind == "run"]
    assert len(run) > 1
    assert [card.title for card in run] == [f"Batch run {card.procedure}" for card in run]


def test_run_lines_carry_the_numbers_that_content_gives_them() -> None:
    card = by_id("quillmere")["card-batch-run-2"]
    figures = book("quillmere").figures
    assert {"strip_set_point", "sweep_time", "tower_flow"} <= set(card.figures)
    assert "ceiling" not in card.figures, "methanol is driven off above the ceiling, behind the condenser"
    assert figures["strip_set_point"].text in card.html_body
    kinds = {entry["figure"] for entries in words()["run"]["numbers"].values() for entry in entries}
    elsewhere = {"second_methanol", "second_catalyst_usual", "drain_by"}  # two stages; a batch that cools
    known = (figures, book("larkstead").figures, elsewhere)
    assert all(any(id_ in made for made in known) for id_ in kinds), kinds


@pytest.mark.parametrize(
    ("wanted", "apart", "height"),
    [([10.0, 12.0, 13.0], 20.0, 100.0), ([98.0, 99.0], 20.0, 100.0), ([50.0], 20.0, 100.0)],
)
def test_words_beside_marks_never_overlap(wanted: list[float], apart: float, height: float) -> None:
    rows = card_marks.spread(wanted, apart, height)
    assert all(b - a >= apart - 0.01 for a, b in pairwise(rows))
    assert rows[0] >= apart / 2 and rows[-1] <= height - apart / 2
    with pytest.raises(ValueError, match="6"):
        card_marks.spread([1.0] * 6, 20.0, 100.0)


def test_hostile_labels_are_inert(tmp_path: Path) -> None:
    def hostile(profile: str) -> str:
        return profile.replace("name: Drying tank", f"name: '{HOSTILE}'").replace(
            'label: "06"', "label: '<b onload=x>{{71*73}}'"
        )

    made = stub_cards.book("quillmere", tmp_path, hostile)
    bodies = "".join(card.html_body for card in cards(made))
    assert (
        "<script" not in bodies
        and "<b onload" not in bodies
        and "5183" not in text_of(made, "card-marks-dryer")
    )
    assert "&lt;script&gt;alert(1)&lt;/script&gt; {{71*73}}" in bodies


def text_of(made: Book, card_id: str) -> str:
    return next(text(card) for card in cards(made) if card.id == card_id)


def test_fingerprints_follow_numbers_and_nothing_else(tmp_path: Path) -> None:
    again = {card.id: card.fingerprint for card in cards(stub_cards.book("quillmere"))}
    before = {id_: card.fingerprint for id_, card in by_id("quillmere").items()}
    assert again == before
    changed = stub_cards.book("quillmere", tmp_path, lambda s: s.replace("purity: 90 %", "purity: 85 %"))
    after = {card.id: card.fingerprint for card in cards(changed)}
    assert after["card-dose"] != before["card-dose"]
    for card_id in ("card-lineup-reactor-to-settler", "card-emergency", "card-normal-positions"):
        assert after[card_id] == before[card_id]


def test_a_renamed_valve_changes_only_the_cards_that_print_it(tmp_path: Path) -> None:
    changed = stub_cards.book("quillmere", tmp_path, lambda s: s.replace('label: "15"', 'label: "95"'))
    before = by_id("quillmere")
    different = {card.id for card in cards(changed) if card.fingerprint != before[card.id].fingerprint}
    assert different == {"card-normal-positions", "card-lineup-finisher-to-fuel-tank-via-tower"}


def test_content_names_only_what_exists() -> None:
    for entry in words()["transfers"]:
        assert entry["what"] and entry["ends"]
    last = words()["transfers"][-1]
    assert set(last) == {"what", "ends"}, "the last entry must fit every transfer"
    for rig in ("quillmere", "larkstead"):
        for line_up in book(rig).line_ups.values():
            assert card_lineup.transfer(Desk(book(rig)), line_up) is not last, line_up.id
    assert plain(by_id("quillmere")["card-marks-reactor"].title).startswith("Fill marks of")


def test_a_rig_without_a_shower_sends_nobody_to_one() -> None:
    for card in by_id("larkstead").values():
        assert "Shower:" not in text(card) and "under the shower" not in text(card), card.id
    assert "Shower:" in text(by_id("quillmere")["card-methanol"])


@pytest.mark.parametrize("rig", ["quillmere", "larkstead"])
def test_a_fill_mark_prints_the_volume_that_the_steps_print(rig: str) -> None:
    figures = book(rig).figures
    pairs = [
        (level, figures[part.figure])
        for level in figures
        if level.kind.endswith("_mark_level")
        for part in level.inputs
        if part.figure and part.quantity == "volume"
    ]
    assert len(pairs) >= 4
    for level, volume in pairs:
        card = by_id(rig).get(f"card-marks-{str(level.subject).replace('_', '-')}")
        if card is None or level.kind == "before_methoxide_level":
            continue
        shown = f"{volume.text} at {level.text}".replace("\u00a0", " ")
        assert shown in text(card), level.id


def test_a_lying_tank_is_drawn_lying_to_scale() -> None:
    # By hand: B1 is 1.60 m long and 0.70 m high; its drawing is 80 mm wide less 2 mm at each side.
    tank = book("quillmere").plant.tanks["fuel_tank"]
    card = str(by_id("quillmere")["card-marks-fuel-tank"].html_body)
    shell = next(part for part in card.split('d="')[1:] if part.startswith("M") and "Q" in part)
    ys = [float(y) for y in re.findall(r"Q[\d.]+ ([\d.]+)", shell.partition('"')[0])]
    assert max(ys) - min(ys) == pytest.approx(76.0 * 0.70 / 1.60, abs=0.1)
    assert tank.shape.inside_height_m == pytest.approx(0.70)


@pytest.mark.parametrize("rig", ["quillmere", "larkstead"])
def test_temperatures_say_whether_they_are_limits_or_computed(rig: str) -> None:
    kinds = words()["temperatures"]["kinds"]
    assert {row["kind"] for row in words()["temperatures"]["rows"]} == set(kinds)
    card = text(by_id(rig)["card-temperatures"])
    assert re.search(rf"{kinds['expect']} \S+ after methoxide is in", card)
    # What a thermostat is set to is a setting; what trips, and what must not be passed, is a limit.
    assert re.search(rf"{kinds['set']} React in", card)
    assert re.search(rf"{kinds['set']} Dry oil in", card)
    assert re.search(rf"{kinds['limit']} High limit of \S+ for drying", card)
    for row in words()["temperatures"]["rows"]:
        limits = "high_limit" in row["figure"] or row["figure"] == "wash_temperature"
        assert limits == (row["kind"] == "limit")


def test_too_sour_an_oil_stays_in_the_drying_vessel() -> None:
    for rig in ("quillmere", "larkstead"):
        dry = book(rig).plant.the("dry").label
        assert f"Leave it cold in {dry}; ask the keeper." in text(by_id(rig)["card-dose"])


def test_two_units_stand_below_each_other_and_never_share_a_line(tmp_path: Path) -> None:
    both = stub_cards.book("quillmere", tmp_path, lambda s: s.replace("units: metric", "units: both"))
    made = {card.id: card for card in cards(both)}
    level, limit = both.figures["reactor.fill_limit_level"], both.figures["reactor.fill_limit"]
    html = str(made["card-marks-reactor"].html_body)
    lines = [plain(line) for line in re.findall(r'<p class="fill-(?:level|other)">(.*?)</p>', html)]
    read = [re.sub(r"<[^>]+>", "", line) for line in lines]
    wanted = [
        f"{volume.text} at {at.text}" for volume, at in zip(limit.shown.parts, level.shown.parts, strict=True)
    ]
    assert read[:2] == wanted


def test_a_us_plant_reads_its_own_units_first() -> None:
    assert us_first("3 mL at 20 to 25 °C (68 to 77 °F)", "us") == "3 mL at 68 to 77 °F (20 to 25 °C)"
    assert us_first("above 454 L (120 US gal)", "us") == "above 120 US gal (454 L)"
    assert us_first("above 454 L (120 US gal)", "metric") == "above 454 L (120 US gal)"
    kept = "1,320 US gal (5,000 L) and 32 (see below)"
    assert us_first(kept, "us") == kept


def test_every_acid_line_up_has_a_title_of_its_own() -> None:
    titles = [entry for entry in words()["transfers"] if entry.get("from") == ["react"]]
    assert any(entry.get("to") == ["dry"] for entry in titles)


def test_a_mark_elsewhere_than_in_the_reactor_is_the_batchs() -> None:
    """A settling tank gets a batch that has reacted; one tank for all keeps the reactor's words."""
    assert "The batch" in by_id("quillmere")["card-marks-settler"].html_body
    assert "Oil and methoxide" in by_id("quillmere")["card-marks-reactor"].html_body
    assert "Oil and methoxide" in by_id("larkstead")["card-marks-tank"].html_body
