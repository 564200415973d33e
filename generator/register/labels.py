"""Painted labels by the stable id of what carries them, read off a profile's tree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any


def labels(data: Mapping[str, Any]) -> dict[str, str]:
    """Every painted label, by its owner's dotted place in the profile: ``valves.v07``."""
    return dict(_labels(data, ()))


def _labels(data: Mapping[str, Any], trail: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    for key, value in data.items():
        if key == "label" and isinstance(value, str):
            yield ".".join(trail), value
        elif isinstance(value, dict):
            yield from _labels(value, (*trail, key))
