"""The reader of content/wording/never_promise.yaml: finds words that no handbook text may carry."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import yaml

ROOT = Path(__file__).resolve().parent.parent.parent
LIST = ROOT / "content" / "wording" / "never_promise.yaml"


@cache
def word_list() -> dict[str, Any]:
    """The list as it stands in the file."""
    loaded: dict[str, Any] = yaml.safe_load(LIST.read_text(encoding="utf-8"))
    return loaded


def breaches(text: str, *, forbidden_here: bool = False) -> list[str]:
    """Ids of the rules that `text` breaks.

    `forbidden_here` is true for the items of a `never:` list, whose heading negates them.
    """
    found = []
    for sentence in re.split(r"(?<=[.!?])\s+", text):
        found += [
            rule["id"] for kind in ("promises", "dangerous_advice") for rule in word_list()[kind]
            if breaks(rule, sentence, forbidden_here)
        ]
    return found


def breaks(rule: dict[str, Any], sentence: str, forbidden_here: bool) -> bool:
    """Whether one sentence breaks one rule, its allowed phrases taken out first."""
    for phrase in rule.get("allow", []):
        sentence = re.sub(re.escape(phrase), "", sentence, flags=re.IGNORECASE)
    hit = re.search(rule["pattern"], sentence, flags=re.IGNORECASE)
    if not hit:
        return False
    if rule.get("allow_negated"):
        before = sentence[: hit.start()].lower()
        after_start = sentence[hit.start():].lower()
        return not (forbidden_here or any(n in before or after_start.startswith(n)
                                          for n in word_list()["negations"]))
    return True
