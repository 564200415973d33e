"""Known wrong content, and words that promise: the hazard pages must carry none of it.

Expected values name their published source, or say "from memory".
"""

from __future__ import annotations

import re

import pytest
from hazard_words import (
    EMERGENCY,
    INCOMPATIBLE,
    MESSAGES,
    METHANOL_BEARING,
    PPE,
    SIGNS,
    STATEMENTS,
    SUBSTANCES,
    all_texts,
    said,
    steps,
)
from never_promise import breaches, word_list

# --- wrong content ------------------------------------------------------------------------------------------

def test_no_word_that_promises_and_no_dangerous_advice() -> None:
    found = [
        (path, rule, text) for path, text in all_texts()
        for rule in breaches(text, forbidden_here=".never[" in path)
    ]
    assert found == []


@pytest.mark.parametrize(("text", "rule"), [
    ("This rig is perfectly safe.", "safe"),
    ("The design is OSHA-approved.", "approved"),
    ("Your fuel meets ASTM D6751.", "meets_standard"),
    ("Make the person vomit with salt water.", "vomiting"),
    ("Give the person vodka.", "antidote"),
    ("Fit an organic vapor cartridge.", "cartridge"),
    ("Rinse with vinegar to neutralise it.", "neutralise_skin"),
    ("Pour water onto the lye.", "water_to_caustic"),
    ("Bypass the float switch.", "bypass"),
    ("Wear nitrile gloves for methanol.", "nitrile_for_methanol"),
    ("Use AFFF on the flame.", "ordinary_foam"),
    ("Heat the methanol on a hotplate.", "heat_methanol"),
    ("Small amounts are OK.", "small_amounts"),
    ("The tank never leaks.", "always_never_happens"),
])
def test_the_list_catches_what_it_is_for(text: str, rule: str) -> None:
    assert rule in breaches(text)


@pytest.mark.parametrize("text", [
    "Do not make the person vomit.",
    "Compare with the safety data sheet.",
    "No cartridge mask for methanol vapour.",
])
def test_the_list_lets_pass_what_forbids(text: str) -> None:
    assert breaches(text) == []


def test_the_list_of_promises_covers_the_plain_words() -> None:
    ids = [rule["id"] for kind in ("promises", "dangerous_advice") for rule in word_list()[kind]]
    assert len(ids) == len(set(ids))
    for word in ("foolproof", "guaranteed", "certified", "compliant", "approved", "explosion-proof",
                 "non-toxic", "environmentally friendly", "drain-safe", "will not void", "legal", "tax-free",
                 "emission-free", "no training needed", "no PPE needed", "harmless", "anyone can",
                 "inherently"):
        assert breaches(f"It is {word}."), word


@pytest.mark.parametrize("name", METHANOL_BEARING)
def test_methanol_is_met_with_butyl_and_without_cartridges(name: str) -> None:
    """Butyl: NIOSH, Recommendations for Chemical Protective Clothing, from memory. Cartridges: ATTRA/NCAT."""
    worn = SUBSTANCES[name]["ppe"]
    assert "butyl_gloves" in worn
    assert "no_cartridge" in worn
    assert "goggles" in worn
    assert not {"nitrile_gloves", "thin_nitrile_splash", "lye_gloves"} & set(worn)


def test_gloves_name_their_material_and_nitrile_is_for_no_methanol() -> None:
    for key, item in PPE["items"].items():
        if "glove" in key or key == "thin_nitrile_splash":
            assert item["material"], key
            if "nitrile" in item["material"] and "butyl" not in item["material"]:
                assert not set(METHANOL_BEARING) & set(item["protects_from"]), key
                assert "Not for methanol" in item["note"] or "not for methanol" in item["note"].lower(), key
    for key in ("methanol", "methoxide", "draining_glycerin"):
        assert "butyl_gloves" in PPE["jobs"][key]["wear"]


def test_methanol_fires_name_alcohol_resistant_foam() -> None:
    burning = ("methanol", "methoxide", "glycerin_with_methanol", "unfinished_ester", "isopropanol_indicator")
    for name in burning:
        fire = " ".join(SUBSTANCES[name]["fire"])
        assert "lcohol-resistant foam" in fire, name
        assert not re.search(r"(?<!resistant )foam\b(?! collapses)", fire), name


def test_swallowing_forbids_vomiting_and_names_the_poison_centre() -> None:
    for name, sheet in SUBSTANCES.items():
        swallowed = " ".join(sheet["first_aid"]["swallowed"])
        assert "Do not make the person vomit." in swallowed, name
        assert "poison centre" in swallowed, name
    assert "even if the person feels well" in " ".join(SUBSTANCES["methanol"]["first_aid"]["swallowed"])
    assert "48 hours" in " ".join(SUBSTANCES["methanol"]["first_aid"]["swallowed"])
    swallowed = " ".join(map(said, steps(EMERGENCY["scenes"]["exposure_swallowed"])))
    assert "even if the person feels well" in swallowed
    assert "48 hours" in swallowed


@pytest.mark.parametrize("name", ["methoxide", "koh", "naoh"])
def test_lye_on_skin_gets_water_only_and_for_longer_than_a_quarter_of_an_hour(name: str) -> None:
    skin = " ".join(SUBSTANCES[name]["first_aid"]["skin"])
    assert "15 minutes at the least" in skin
    assert "until help takes over" in skin
    assert "nothing on the skin but water" in skin


def test_ghs_edition_is_one_throughout() -> None:
    """Rev. 9 and 10 codes P316 to P319 do not stand beside P310 to P313 of Rev. 7."""
    assert not any(re.search(r"P31[6-9]", code) for code in STATEMENTS["statements"])


def test_ghs_pictogram_precedence() -> None:
    """The skull removes the exclamation mark (UN GHS 1.4.10.5.3.1, from memory)."""
    for sheet in SUBSTANCES.values():
        assert not {"GHS06", "GHS07"} <= set(sheet["ghs"]["pictograms"])


def test_methanol_mixtures_are_classed_as_methanol() -> None:
    """CLP annex VI entry 603-001-00-X, applied to every methanol-bearing intermediate."""
    for name in METHANOL_BEARING:
        assert {"H225", "H301", "H311", "H331", "H370"} <= set(SUBSTANCES[name]["ghs"]["h"]), name
        assert {"GHS02", "GHS06", "GHS08"} <= set(SUBSTANCES[name]["ghs"]["pictograms"]), name


def test_plain_oil_and_finished_fuel_carry_no_instability_and_no_hazard_code() -> None:
    for name in ("hot_oil", "finished_ester"):
        assert SUBSTANCES[name]["ghs"]["h"] == []
    assert not any(re.search(r"NFPA 704|instability|reactivity", text) for _, text in all_texts())


def test_safety_sign_codes_mean_what_the_register_says() -> None:
    """ISO 7010, published, seen second-hand. Wrong lists in circulation swap W021, W011, E004 and E011."""
    for code, referent in {
        "W011": "Slippery surface", "W012": "Electricity", "W016": "Toxic material", "W017": "Hot surface",
        "W021": "Flammable material", "W023": "Corrosive substance", "W041": "Asphyxiating atmosphere",
        "P003": "No open flame", "P011": "Do not extinguish with water", "M004": "Wear eye protection",
        "M005": "Connect an earth terminal", "M009": "Wear protective gloves", "M013": "Wear a face shield",
        "E004": "Emergency telephone", "E007": "Evacuation assembly point", "E011": "Eyewash station",
        "E012": "Safety shower", "E020": "Emergency stop button", "F001": "Fire extinguisher",
    }.items():
        assert SIGNS[code].startswith(referent)
    assert EMERGENCY["scenes"]["exposure_eyes"]["sign"] == "E011"
    assert MESSAGES["hot_surface"]["sign"] == "W017"


def test_what_must_not_meet_fills_every_cell_and_agrees_both_ways() -> None:
    cells = INCOMPATIBLE["cells"]
    assert set(cells) == set(INCOMPATIBLE["rows"])
    for name, row in cells.items():
        assert set(row) == set(INCOMPATIBLE["columns"]), name
        for other, cell in row.items():
            assert cell["verdict"] in {"keep_apart", "do_not_use", "take_care", "ok"}
            assert cell["words"]
            if other in cells and name in cells[other]:
                assert cells[other][name]["verdict"] == cell["verdict"], (name, other)
    assert cells["lye"]["light_metals"]["verdict"] == "do_not_use"
    assert cells["methoxide"]["water"]["verdict"] == "keep_apart"


