"""Steps whose sentence is content's own: do, check, read, weigh, pour, sample, wait, hold, record, dress."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from generator.operations.acts import resolved
from generator.operations.maker import Maker
from generator.operations.wording import spout_valves

# The op's name is the kind of action; its value is the sentence.
KINDS = ("do", "check", "read", "weigh", "pour", "sample", "wait", "record", "test", "decide")


def sentence(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """One step in the procedure's own words; what it does to the plant stands under ``acts``."""
    said = {key: value for key, value in options.items() if key != "acts"}
    maker.add(maker.operation, resolved(maker, options.get("acts")), text=given, **said)


def hold(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """A hold point: nobody goes on until it is released."""
    maker.add("hold", text=given, hold=True, **options)


def take(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """A sample from a vessel, at its own sample valve, else at its lowest drain, else from its opening."""
    vessel = maker.vessel(str(given["from"]))
    spouts = spout_valves(maker.plant, vessel)
    kinds = maker.plant.profile.valves
    samplers = [valve for valve in spouts if kinds[valve].kind == "spring_return"] or spouts
    data = {"vessel": vessel, "amount": maker.words.fill(str(given["amount"]))}
    if samplers:
        valve = samplers[-1]
        maker.add("take_at", {**data, "valve": valve}, valves=(valve,), equipment=(vessel,), **options)
    else:
        maker.add("take_open", data, equipment=(vessel,), **options)


def dress(maker: Maker, given: str, options: Mapping[str, Any]) -> None:
    """Protective equipment on; ``given`` is the job of content/hazards/ppe.yaml."""
    maker.add("dress", {"job": given}, **options)
