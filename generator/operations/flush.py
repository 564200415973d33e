"""What a batch leaves in pipes that the next clean liquid passes: let out, or sent where it does no harm.

Which pipes those are is worked out from the line-ups: of all that passes a pipe in a batch, the last to pass
is what stays in it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

import yaml

from generator.operations.facts import holds
from generator.operations.maker import Maker
from generator.operations.transfer import inline_of, transfer
from generator.plant.lineup import LineUp, Want
from generator.problems import CONTENT


@cache
def passes() -> tuple[Mapping[str, Any], ...]:
    """What passes the pipes in a batch, in its order; ``dirty`` marks what holds methanol."""
    text = (CONTENT / "batch" / "passes.yaml").read_text(encoding="utf-8")
    return tuple(yaml.safe_load(text))


def flush(maker: Maker, given: Mapping[str, Any], options: Mapping[str, Any]) -> None:
    """Empty what is shared with a dirty transfer before a clean one; nothing where nothing is shared.

    Keys: ``before`` (the clean transfer, one of ``passes``), ``first_to`` (takes the first litres where
    nothing can be let out), ``else`` (the sentence where that is no way either).
    """
    clean = _line_up(maker, given["before"])
    if clean is None or clean.pump is None:
        return
    left = _left_behind(maker, clean, _until(maker, given["before"]))
    if not left:
        return
    volumes = [maker.plant.profile.lines[line].holds_m3 for line in left if line in maker.plant.profile.lines]
    known = [volume for volume in volumes if volume is not None]
    held = maker.words.shown(sum(known), "volume", "minimum") if known else ""
    data = {"pump": clean.pump, "held": held, "vessel": clean.streams[0].destination}
    if (hose := _open_hose(maker, left)) is not None:
        _let_out(maker, {**data, "hose": hose, "spout": hose}, maker.plant.profile.hoses[hose].valves)
    elif known and _line_up(maker, {**given["before"], "to": given["first_to"]}) is not None:
        twice = maker.words.shown(2.0 * sum(known), "volume", "minimum")
        maker.add(
            "flush_first", {**data, "other": given["first_to"]}, messages=("unfinished_holds_methanol",)
        )
        moved = {
            **given["before"],
            "to": given["first_to"],
            "amount": twice,
            "room": 2.0 * sum(known),
            "until": f"{twice} has gone in",
            "goal": {"taken": 2.0 * sum(known)},
        }
        transfer(maker, moved, {})
    else:
        maker.add("flush_none", data, text=given["else"], messages=("unfinished_holds_methanol",))


def _let_out(maker: Maker, data: Mapping[str, Any], valves: Iterable[str]) -> None:
    """Pump off, a can under the hose's end, its valves opened and closed."""
    listed = list(valves)
    maker.add("check_pump_off", data, equipment=(data["pump"],), messages=("flammable_drain",))
    maker.add("flush_can", data, equipment=(data["hose"],))
    for valve in listed:
        maker.add("open_valve", {"valve": valve, "hint": ""}, valves=(valve,))
    maker.add("flush_run", data, equipment=(data["hose"],))
    for valve in reversed(listed):
        maker.add("close_valve", {"valve": valve, "hint": ""}, valves=(valve,))
    maker.add("flush_keep", data)


def _want(maker: Maker, entry: Mapping[str, Any]) -> Want | None:
    """The line-up that an entry asks for; None where the rig has no vessel of that role."""
    ends = [str(entry.get("around") or entry["from"]), str(entry.get("around") or entry["to"])]
    ids = [maker.vessel(end) for end in ends]
    if any(one not in maker.plant.tanks for one in ids):
        return None
    via = entry.get("via")
    try:
        return Want(ids[0], ids[1], via=inline_of(maker, str(via)) if via else None)
    except KeyError:
        return None


def _line_up(maker: Maker, entry: Mapping[str, Any]) -> LineUp | None:
    want = _want(maker, entry)
    return maker.line_ups.peek(want) if want is not None else None


def _until(maker: Maker, before: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """What this plant passes from one such transfer to the next, a batch later."""
    ours = [entry for entry in passes() if holds(entry.get("when"), maker.known)]
    ways = [tuple(entry.get(key) for key in ("from", "to", "via")) for entry in ours]
    at = ways.index(tuple(before.get(key) for key in ("from", "to", "via")))
    return [*ours[at + 1 :], *ours[:at]]


def _left_behind(maker: Maker, clean: LineUp, batch: Iterable[Mapping[str, Any]]) -> list[str]:
    """Lines of the clean transfer that something dirty was the last to pass."""
    dirty: dict[str, bool] = {}
    for entry in batch:
        if (found := _line_up(maker, entry)) is not None:
            for stream in found.streams:
                dirty |= dict.fromkeys(stream.path, bool(entry.get("dirty")))
    hoses = maker.plant.profile.hoses
    path = [line for stream in clean.streams for line in stream.path]
    # A hose with an open end is lifted until it has run empty, each time it comes off.
    return [
        line for line in path if dirty.get(line) and not (line in hoses and hoses[line].free_end == "open")
    ]


def _open_hose(maker: Maker, left: Iterable[str]) -> str | None:
    """A hose that lets those lines run out: valved, its end open, no liquid standing behind the lines."""
    profile = maker.plant.profile
    ends = {end for line in left if line in profile.lines for end in _ends(maker, line)}
    if any(_feeds(maker, line, ends) for line in profile.lines):
        return None
    found = (
        hose_id
        for hose_id, hose in profile.hoses.items()
        if hose.fixed in ends and hose.free_end == "open" and hose.normal is None and hose.valves
    )
    return next(found, None)


def _ends(maker: Maker, line: str) -> tuple[str, str]:
    return maker.plant.profile.lines[line].from_, maker.plant.profile.lines[line].to


def _feeds(maker: Maker, line: str, ends: set[str]) -> bool:
    """Whether a line open at rest joins the lines to a vessel's liquid, which would run out too."""
    profile = maker.plant.profile
    part = profile.lines[line]
    if any(profile.valves[valve].normal == "closed" for valve in part.valves):
        return False
    for near, far in ((part.from_, part.to), (part.to, part.from_)):
        vessel, _, port = far.partition(".")
        if near in ends and vessel in profile.vessels and profile.vessels[vessel].ports[port].space != "gas":
            return True
    return False
