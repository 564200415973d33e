"""Steps whose sentence is content's own: do, check, read, weigh, pour, sample, wait, hold, record, dress."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from generator.operations.maker import Maker

# The op's name is the kind of action; its value is the sentence.
KINDS = ("do", "check", "read", "weigh", "pour", "sample", "wait", "record", "test", "decide")


def sentence(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """One step in the procedure's own words."""
    maker.add(maker.operation, text=given, **options)


def hold(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """A hold point: nobody goes on until it is released."""
    maker.add("hold", text=given, hold=True, **options)


def dress(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """Protective equipment on; ``given`` is the job of content/hazards/ppe.yaml."""
    maker.add("dress", {"job": given}, **options)
