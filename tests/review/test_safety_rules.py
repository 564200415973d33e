"""Each numbered safety rule is decided by the review, or kept by hand and printed; none is left out."""

from __future__ import annotations

import re

import yaml

from generator.handbook.hazards import kept_rules, safety_rules
from generator.problems import CONTENT
from generator.review.finding import rule_ids

NUMBERS = [f"S{n:02d}" for n in range(1, 54)]


def test_all_are_there_in_order() -> None:
    assert list(safety_rules()) == NUMBERS


def test_each_is_decided_or_kept_by_hand() -> None:
    decided = {rule[:3] for rule in rule_ids() if re.match(r"S\d\d", rule)}
    kept = {number for number, rule in safety_rules().items() if rule.get("kept")}
    assert set(NUMBERS) == decided | kept
    assert decided <= set(NUMBERS)


def test_what_is_kept_is_one_short_order() -> None:
    for rule in safety_rules().values():
        for say in rule.get("kept", ()):
            assert all(len(sentence.split()) <= 20 for sentence in say.split(". ")), say
            assert say[0].isupper() and say.endswith("."), say


def test_what_a_plant_lacks_is_not_asked_of_it() -> None:
    names = yaml.safe_load((CONTENT / "hazards" / "facts.yaml").read_text("utf-8"))
    bare = {**dict.fromkeys(names.get("facts", names), False), "fan": False, "gas_alarm": False}
    numbers = {number for number, _, _ in kept_rules(bare)}
    assert not {"S23", "S24"} & numbers and "S30" in numbers
