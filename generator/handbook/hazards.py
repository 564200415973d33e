"""Hazard sheets, messages and emergency scenes of content/hazards, chosen by the facts of a plant."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

import yaml

from generator.handbook.book import Book
from generator.operations import emergency
from generator.operations.facts import Facts, facts, holds
from generator.operations.wording import Words
from generator.problems import CONTENT


@cache
def _read(name: str) -> dict[str, Any]:
    text = (CONTENT / "hazards" / f"{name}.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def messages(book: Book) -> dict[str, Any]:
    """Safety messages by key, their numbers in this plant's units; sentences may hold marks."""
    words = Words(book.plant, book.figures, facts(book.plant))
    return {
        key: {**entry, **{part: words.fill(entry[part]) for part in ("hazard", "consequence", "avoid")}}
        for key, entry in _read("messages").items()
    }


@cache
def safety_rules() -> dict[str, Any]:
    """The numbered safety rules: title, and what people keep by hand."""
    text = (CONTENT / "wording" / "safety_rules.yaml").read_text(encoding="utf-8")
    loaded: dict[str, Any] = yaml.safe_load(text)
    return loaded


def kept_rules(known: Facts) -> list[tuple[str, str, str]]:
    """Number, title and order of what no profile can tell, for a plant with these facts."""
    held = {number: rule for number, rule in safety_rules().items() if holds(rule.get("when"), known)}
    return [(number, rule["title"], say) for number, rule in held.items() for say in rule.get("kept", ())]


def sheet(name: str) -> dict[str, Any]:
    """One file of content/hazards, by its name without suffix."""
    return _read(name)


def applicable(name: str, known: Facts) -> dict[str, Any]:
    """Those entries of a file whose ``when`` holds."""
    return {key: entry for key, entry in _read(name).items() if holds(entry.get("when"), known)}


def filled(sentence: str, known: Mapping[str, str]) -> str:
    """A sentence of emergency.yaml with its braces filled once; what fills them is not read again."""
    return sentence.format_map(known)


def leave_when(book: Book, entry: Mapping[str, Any]) -> str:
    """When a spill of a substance is left to others; its limit is the one for this plant's placement."""
    return filled(entry["spill"]["leave_when"], emergency.places(book.plant))


def protective(known: Facts) -> dict[str, Any]:
    """Jobs and items of ppe.yaml that concern a plant with these facts."""
    return {
        part: {key: entry for key, entry in entries.items() if holds(entry.get("when"), known)}
        for part, entries in _read("ppe").items()
    }


def wear(keys: Iterable[str]) -> list[str]:
    """What to put on, each once: keys are jobs or items of ppe.yaml."""
    data = _read("ppe")
    items = [item for key in keys for item in data["jobs"].get(key, {"wear": [key]})["wear"]]
    return [str(data["items"][item]["words"]) for item in dict.fromkeys(items)]
