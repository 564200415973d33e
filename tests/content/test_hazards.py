"""The words about hazards: complete, resolved, sourced, short.

Expected values name their published source, or say "derived", "from memory" or "common practice, no source".
"""

from __future__ import annotations

import re
import string
from pathlib import Path

import pytest
from hazard_words import (
    EMERGENCY,
    FACTS,
    HAZARDS,
    INCOMPATIBLE,
    LONGEST_STEP_WORDS,
    MESSAGES,
    MOST_CARD_STEPS,
    PAGES,
    PLACES,
    PPE,
    ROOT,
    SHEET_KEYS,
    SHEETS,
    SIGNS,
    SOURCES,
    SPILL_LIMITS,
    STATEMENTS,
    SUBSTANCES,
    all_texts,
    keyed,
    load,
    said,
    steps,
    texts,
)

# --- keys resolve -------------------------------------------------------------------------------------------

def test_every_ghs_code_and_pictogram_resolves_and_every_statement_is_used() -> None:
    used = set()
    for name, sheet in SUBSTANCES.items():
        codes = set(sheet["ghs"]["h"]) | set(sheet["ghs"]["p"])
        assert codes <= set(STATEMENTS["statements"]), name
        assert set(sheet["ghs"]["pictograms"]) <= set(STATEMENTS["pictograms"]), name
        used |= codes
    assert used == set(STATEMENTS["statements"])


def test_every_ppe_key_resolves() -> None:
    for name, sheet in SUBSTANCES.items():
        assert sheet["ppe"], name
        assert set(sheet["ppe"]) <= set(PPE["items"]), name
    for name, job in PPE["jobs"].items():
        assert set(job["wear"]) <= set(PPE["items"]), name
    assert {key for job in PPE["jobs"].values() for key in job["wear"]} == set(PPE["items"])


def test_every_source_tag_sign_and_fact_resolves() -> None:
    trees = (SUBSTANCES, PPE, MESSAGES, EMERGENCY, INCOMPATIBLE, STATEMENTS)
    for tree in trees:
        assert set(keyed(tree, "source")) <= set(SOURCES["sources"])
        assert set(keyed(tree, "limit_source")) <= set(SOURCES["sources"])
        assert set(keyed(tree, "tag")) <= set(SOURCES["tags"])
        assert set(keyed(tree, "sign")) <= set(SIGNS)
    for sheet in SUBSTANCES.values():
        assert {key for keys in sheet["sources"].values() for key in keys} <= set(SOURCES["sources"])
    for source in SOURCES["sources"].values():
        assert source["seen"] in SOURCES["tags"]
        assert source["cite"]
    for entry in (*SUBSTANCES.values(), *MESSAGES.values(), *EMERGENCY["scenes"].values()):
        assert entry["when"]
        for condition in entry["when"]:
            for fact, value in condition.items():
                assert value in FACTS[fact]["values"], (fact, value)


# --- sheets are complete ------------------------------------------------------------------------------------

def test_the_sheets_are_those_of_the_materials_a_plant_handles_and_makes() -> None:
    assert set(SUBSTANCES) == SHEETS


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_a_sheet_is_complete(name: str) -> None:
    sheet = SUBSTANCES[name]
    assert set(sheet) == SHEET_KEYS
    for key in ("title", "short", "signal_why", "storage", "never", "fire", "hurts"):
        assert sheet[key], key
    assert sheet["signal"] in {"danger", "warning", "caution"}
    assert "\n" not in sheet["short"]
    assert len(sheet["short"].split()) <= 25
    assert set(sheet["spill"]) == {"ours", "leave_when"}
    assert sheet["spill"]["ours"]
    assert sheet["spill"]["leave_when"]
    assert set(sheet["first_aid"]) == {"until", "skin", "eyes", "inhaled", "swallowed"}
    assert "until professional help arrives" in sheet["first_aid"]["until"]
    assert set(sheet["sources"]) == {"ppe", "storage", "never", "spill", "fire", "first_aid"}
    assert all(sheet["sources"].values())
    assert set(sheet["ghs"]) == {"word", "pictograms", "h", "p", "source"}
    assert sheet["ghs"]["word"] in {"Danger", "Warning", "none"}
    assert (sheet["ghs"]["word"] == "none") == (not sheet["ghs"]["h"])


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_every_limit_has_a_source_and_a_tag(name: str) -> None:
    for row in SUBSTANCES[name]["hurts"]:
        assert set(row) == {"what", "how_much", "source", "tag"}, row
        assert row["what"]
        assert row["how_much"]


@pytest.mark.parametrize("name", sorted(SHEETS))
def test_a_row_claims_no_better_source_than_its_source_is(name: str) -> None:
    """A value may be tagged lower than its document (a number recalled from it), never higher."""
    rank = {
        "published": 0, "library": 0, "derived": 1, "second_hand": 2, "from_memory": 3, "common_practice": 4,
    }
    for row in SUBSTANCES[name]["hurts"]:
        seen = SOURCES["sources"][row["source"]]["seen"]
        assert rank[row["tag"]] >= rank[seen], row


def test_a_sheet_with_a_value_to_check_says_so() -> None:
    for name, sheet in SUBSTANCES.items():
        unsure = [row for row in sheet["hurts"] if SOURCES["tags"][row["tag"]]["check_before_use"]]
        unsure += [k for ks in sheet["sources"].values() for k in ks
                   if SOURCES["tags"][SOURCES["sources"][k]["seen"]]["check_before_use"]]
        assert sheet["check_before_use"] is bool(unsure), name


def test_values_of_record() -> None:
    """NIOSH IDLH (methanol 6,000 ppm, NaOH 10 mg/m³); OSHA/NIOSH 1989 (200 and 250 ppm); PHE 2015 (48 hours);
    ASTM D6751 (0.2 % methanol, 93 °C).
    """
    def row(sheet: str, start: str) -> str:
        return next(r["how_much"] for r in SUBSTANCES[sheet]["hurts"] if r["what"].startswith(start))

    assert row("methanol", "Danger to life").startswith("6,000 ppm")
    assert row("methanol", "Air limit, average").startswith("200 ppm")
    assert row("methanol", "Air limit, 15").startswith("250 ppm")
    assert "48 hours" in row("methanol", "Delay")
    assert row("naoh", "Dust in the air, danger").startswith("10 mg/m³")
    assert row("koh", "Dust").startswith("2 mg/m³")
    assert row("finished_ester", "Methanol left").startswith("0.2 %")
    assert row("finished_ester", "Counts as").startswith("93 °C")


def test_derived_values_agree_with_their_formula() -> None:
    """Derived: ideal gas at 20 °C, methanol 791.4 kg/m³ and 32.042 kg/kmol; heat of solution (Parker 1965,
    NSRDS-NBS 2) over the heat capacity of water.
    """
    litres = 791.4 / 32.042 * 8.314462 * 293.15 / 101325 * 1000
    assert f"{litres:.0f} L" in str(SUBSTANCES["methanol"]["hurts"])
    ppm = round(litres / 1000 / 50 * 1e6, -2)
    assert f"{ppm:,.0f} ppm" in str(SUBSTANCES["vapour_and_electricity"]["hurts"])
    assert 0.25 * ppm < 6000 / 2  # the largest indoor spill that is "ours" stays below half the IDLH
    for sheet, heat_kj, water_kg in (("koh", 686, 2.0), ("naoh", 1113, 3.3)):
        assert heat_kj / (4.186 * water_kg) == pytest.approx(80, abs=2)
        assert "80 °C" in str(SUBSTANCES[sheet]["hurts"])


def test_temperatures_in_both_scales_agree() -> None:
    """A pair like "60 °C (140 °F)" is a conversion, within rounding; differences are told by their words."""
    single = re.compile(r"(?<![\d.,] to )(?<!\d)(\d+) °C \((\d+) °F\)")
    span = re.compile(r"(\d+) to (\d+) °C \((\d+) to (\d+) °F\)")
    pairs = []
    for path, text in all_texts():
        if "above the start" in text or "by up to" in text or "warm" in text:
            continue
        pairs += [(path, int(c), int(f)) for c, f in single.findall(text)]
        pairs += [(path, int(c), int(f)) for a, b, x, y in span.findall(text) for c, f in ((a, x), (b, y))]
    assert len(pairs) >= 20
    for path, celsius, fahrenheit in pairs:
        assert fahrenheit == pytest.approx(celsius * 1.8 + 32, abs=3), path


# --- messages -----------------------------------------------------------------------------------------------

NOUNS_TOO = {"Cover", "Heat", "Watch", "Look"}
ORDER_WORDS = set(EMERGENCY["verbs"]) - NOUNS_TOO | {"Add", "Do not", "Never", "Fill", "Check"}


@pytest.mark.parametrize("key", sorted(MESSAGES))
def test_a_message_states_hazard_and_consequence_and_only_then_what_to_do(key: str) -> None:
    message, orders = MESSAGES[key], tuple(f"{verb} " for verb in ORDER_WORDS)
    assert set(message) - {"sign"} == {"level", "hazard", "consequence", "avoid", "before", "when", "source"}
    assert message["level"] in {"danger", "warning", "caution", "notice"}
    for part in ("hazard", "consequence"):
        for sentence in re.split(r"(?<=[.;:])\s+", message[part]):
                assert not sentence.startswith(orders), sentence
    for part in ("hazard", "consequence", "avoid"):
        assert len(message[part].split()) <= 30, (key, part)


@pytest.mark.parametrize("key", sorted(MESSAGES))
def test_the_level_fits_what_the_message_says(key: str) -> None:
    """ANSI Z535.4/.6, from memory: danger will, warning could kill or injure badly; notice injures nobody."""
    message = MESSAGES[key]
    if message["level"] == "danger":
        assert re.search(r"\bwill\b", message["consequence"]), key
    if message["level"] == "warning":
        assert not re.search(r"\bwill be (killed|damaged)\b", message["consequence"]), key
    if message["level"] == "notice":
        assert "sign" not in message, key
        assert not re.search(r"\b(burn|kill|blind|die|injur|scald|poison)", message["consequence"]), key
    else:
        assert "sign" in message, key


def test_the_messages_that_the_order_of_steps_needs_are_there() -> None:
    assert {
        "methanol_vapour", "lye_in_methanol_heat", "never_water_in_methoxide", "element_must_be_covered",
        "heater_locked_off_for_methanol", "hot_surface", "flammable_drain", "glycerin_holds_methanol",
        "static_bonding", "dead_head", "overfill", "wet_oil_hot", "oily_rags", "lone_working",
        "vent_must_be_open", "nitrogen_asphyxia", "hot_oil_plastic", "pan_test_dry_oil_only", "resin_swells",
        "trapped_liquid",
        "latch_reset", "invisible_flame",
    } <= set(MESSAGES)


def test_the_signal_word_is_not_taken_from_the_ghs_word() -> None:
    """GHS words grade the substance, ANSI Z535 words the situation: at least one sheet must differ."""
    differ = [n for n, s in SUBSTANCES.items() if s["ghs"]["word"] == "Danger" and s["signal"] != "danger"]
    assert {"methanol", "koh", "naoh"} <= set(differ)
    assert SUBSTANCES["nitrogen"]["signal"] == "danger"
    assert SUBSTANCES["nitrogen"]["ghs"]["word"] == "Warning"


# --- emergencies --------------------------------------------------------------------------------------------

SCENES = sorted(EMERGENCY["scenes"])


@pytest.mark.parametrize("name", SCENES)
def test_emergency_steps_are_short_orders(name: str) -> None:
    scene = EMERGENCY["scenes"][name]
    # of two that exclude each other by what the rig has, one is printed
    told = [step for step in scene["do_now"] if isinstance(step, str) or "alse" not in str(step.get("when"))]
    assert len(told) <= MOST_CARD_STEPS
    assert scene["see"]
    for step in [*steps(scene), *EMERGENCY["call"]["say"]]:
        words = said(step).split()
        assert len(words) <= LONGEST_STEP_WORDS, said(step)
        order = step if isinstance(step, str) else step.get("say") or step["then"]
        assert order.split()[0].capitalize() in EMERGENCY["verbs"], order
        assert order.endswith("."), order
        assert ";" not in said(step), said(step)
        verbs = "|".join(verb.lower() for verb in EMERGENCY["verbs"] if verb not in NOUNS_TOO)
        assert not re.search(rf"\b(and|then) ({verbs})\b", order), order


def test_only_known_places_stand_in_braces_and_all_are_used() -> None:
    used, limits = set(), set()
    for path, text in texts(EMERGENCY, "emergency"):
        fields = {field for _, field, _, _ in string.Formatter().parse(text) if field is not None}
        assert fields <= PLACES, path
        used |= fields
    assert used == PLACES
    assert not any("{" in text for _, text in texts(load("ppe"), "ppe"))
    for path, text in texts(load("substances"), "substances"):
        fields = {field for _, field, _, _ in string.Formatter().parse(text) if field is not None}
        assert fields <= (SPILL_LIMITS if path.endswith("leave_when") else set()), path
        # An amount to leave at is data: it hangs on where the plant stands and on its units.
        assert not (path.endswith("leave_when") and re.search(r"\d", text)), path
        limits |= fields
    assert limits == SPILL_LIMITS
    for path, text in texts(MESSAGES, "messages"):
        assert "{" not in re.sub(r"\{\{ .*? \}\}", "", text), path


def test_every_message_stands_before_a_step_or_on_a_page() -> None:
    content = HAZARDS.parent
    files = [*content.glob("procedures/*.yaml"), *content.glob("pages/*.html"), *content.glob("cards/*.html")]
    files += [content / "wording" / "cards.yaml", *(ROOT / "generator" / "operations").glob("*.py")]
    words = {word for file in files for word in re.findall(r"\w+", file.read_text(encoding="utf-8"))}
    assert sorted(set(MESSAGES) - words) == []


def test_the_emergency_stop_says_what_it_leaves_running_and_closes_the_methoxide_by_hand() -> None:
    scene = EMERGENCY["scenes"]["emergency_stop"]
    why = " ".join(said(line) for line in scene["why"])
    assert re.search(r"cuts heaters and pumps.*Fan.*vents stay", why)
    said_now = [said(step) for step in scene["do_now"]]
    methoxide = next(text for text in said_now if "methoxide" in text)
    assert "by hand" in methoxide
    assert "outside vapour and fire" in methoxide
    press = next(text for text in said_now if "press the emergency stop" in text)
    assert "outside vapour" in press
    assert said_now.index(press) < said_now.index(methoxide)
    assert any("{isolator_place}" in text and "burns" in text for text in said_now)


def test_no_switch_is_worked_inside_vapour() -> None:
    """Every order to press or switch, in any scene, says that it is done outside vapour or from outside."""
    for name, scene in EMERGENCY["scenes"].items():
        for step in map(said, steps(scene)):
            if re.search(r"\b(press|switch off)\b", step, re.IGNORECASE):
                assert "outside" in step, (name, step)


@pytest.mark.parametrize("name", ["fire_methanol", "fire_oil"])
def test_a_fire_is_left_isolated_from_outside_and_called_in(name: str) -> None:
    order = " ".join(map(said, EMERGENCY["scenes"][name]["do_now"]))
    assert order.index("{isolator_place}") < order.index("{emergency_number}") < order.index("{muster_point}")


# --- pages --------------------------------------------------------------------------------------------------

@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_every_page_of_limits_says_what_takes_precedence_and_what_it_does_not_cover(page: Path) -> None:
    text = re.sub(r"\s+", " ", page.read_text(encoding="utf-8"))
    assert "Local codes, the fire authority, permits and a licensed electrician take precedence" in text
    assert "does not cover" in text
    assert "{{ plant.name }}" in text


UNREAD = re.compile(
    r"\.(source|tag|sign|before|what|how_much|sources|ghs|title|when|verbs|level|limit_source)\b"
)


def test_own_words_keep_to_short_sentences() -> None:
    """Reading age 12 to 14, common practice, no source: sentences of 16 words on average, none over 32."""
    lengths = []
    for name in ("substances", "messages"):
        for path, text in texts(load(name), name):
            if UNREAD.search(path):
                continue
            lengths += [(len(part.split()), part) for part in re.split(r"(?<=[.;:])\s+", text)]
    assert sum(count for count, _ in lengths) / len(lengths) < 16
    assert max(lengths)[0] <= 32, max(lengths)


def syllables(word: str) -> int:
    """Vowel groups of an English word, a silent final e left out: good to about one in ten."""
    groups = len(re.findall(r"[aeiouy]+", word.lower()))
    silent = word.lower().endswith("e") and not word.lower().endswith(("le", "ee")) and groups > 1
    return max(1, groups - silent)


@pytest.mark.parametrize("name", ["substances", "messages", "emergency", "limits", "notice"])
def test_own_words_read_at_a_grade_of_eight_at_most(name: str) -> None:
    """Flesch-Kincaid grade (Kincaid et al. 1975, constants from memory); 8: common practice, no source."""
    if name in {"limits", "notice"}:
        page = next(page for page in PAGES if page.name.startswith(name))
        found = [re.sub(r"[#|*]|\{\{.*?\}\}|-{3,}", " ", page.read_text(encoding="utf-8"))]
    else:
        found = [text for path, text in texts(load(name), name) if not UNREAD.search(path)]
    sentences = [part for text in found for part in re.split(r"(?<=[.;:?!])\s+|\n\n+", text) if part.strip()]
    words = re.findall(r"[A-Za-z']+", " ".join(sentences))
    grade = 0.39 * len(words) / len(sentences) + 11.8 * sum(map(syllables, words)) / len(words) - 15.59
    assert grade <= 8, grade
