"""The JSON Schema of a profile, so that an editor completes and checks it while it is written.

It accepts what the loader accepts: a number where text is meant (an editor reads ``07`` as 7), text where a
number is meant, the form that says how a value is known, and a profile based on another one, which states
differences only.
"""

from __future__ import annotations

import copy
from typing import Any, get_args

from pydantic import BaseModel

from generator.profile.model import Profile
from generator.profile.nodes import How

Node = dict[str, Any]
DIALECT = "https://json-schema.org/draft/2020-12/schema"
_KNOWN = "#/$defs/KnownValue"
_SCALARS = {
    "number": ["number", "string"],
    "integer": ["integer", "string"],
    "boolean": ["boolean", "string"],
    "string": ["string", "number"],
}
_ABOUT = ("title", "description", "default", "examples", "deprecated")
_DIFFERENCE = "Difference"


def schema() -> Node:
    """The schema of a whole profile."""
    return schema_of(Profile, "fillmark profile")


def schema_of(model: type[BaseModel], title: str) -> Node:
    """The schema of any model, as a file may write it, alone or as differences from ``based_on``."""
    made = model.model_json_schema(by_alias=True, mode="validation")
    parts = {name: _widened(part) for name, part in made.pop("$defs", {}).items()}
    whole = _widened(made)
    whole.get("properties", {}).pop("based_on", None)
    loose = {f"{name}{_DIFFERENCE}": _loosened(part) for name, part in parts.items()}
    base: Node = {"based_on": {"type": "string"}}
    difference = _loosened(whole)
    difference["properties"] = base | difference.get("properties", {})
    difference["required"] = ["based_on"]
    return {
        "$schema": DIALECT,
        "title": title,
        "type": "object",
        "if": {"required": ["based_on"]},
        "then": {"$ref": f"#/$defs/Whole{_DIFFERENCE}"},
        "else": {"$ref": "#/$defs/Whole"},
        "$defs": {
            "Whole": whole,
            f"Whole{_DIFFERENCE}": difference,
            "KnownValue": _known_value(),
            **parts,
            **loose,
        },
    }


def _known_value() -> Node:
    return {
        "type": "object",
        "properties": {
            "value": {"type": ["string", "number", "boolean"]},
            "how": {"enum": list(get_args(How))},
            "by": {"type": ["string", "number"]},
            "date": {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}$"},
        },
        "required": ["value", "how"],
        "additionalProperties": False,
    }


def _widened(node: Any) -> Any:
    """Every scalar also as an editor may read it, and in the form that says how it is known."""
    if isinstance(node, list):
        return [_widened(part) for part in node]
    if not isinstance(node, dict):
        return node
    node = _as_read(node)
    if _is_scalar(node):
        about = {key: node[key] for key in _ABOUT if key in node}
        inner = {key: value for key, value in node.items() if key not in about}
        if isinstance(inner.get("type"), str) and "enum" not in inner:
            inner["type"] = _SCALARS[inner["type"]]
        return {**about, "anyOf": [inner, {"$ref": _KNOWN}]}
    kept: Node = {}
    for key, value in node.items():
        if key in ("properties", "patternProperties"):
            kept[key] = {name: _widened(part) for name, part in value.items()}
        elif key in ("items", "additionalProperties", "anyOf", "oneOf", "allOf", "prefixItems"):
            kept[key] = _widened(value)
        else:
            kept[key] = value
    if "patternProperties" in kept:
        kept.setdefault("additionalProperties", False)
    return kept


def _as_read(node: Node) -> Node:
    """Choices that look like numbers (``fillmark: 1``) also as the numbers an editor reads."""
    allowed = node.get("enum", [node["const"]] if "const" in node else [])
    numbers = [int(choice) for choice in allowed if isinstance(choice, str) and choice.isdigit()]
    if not numbers:
        return node
    return {k: v for k, v in node.items() if k not in ("const", "type")} | {"enum": [*allowed, *numbers]}


def _is_scalar(node: Node) -> bool:
    kinds = node.get("type")
    listed = isinstance(kinds, list) and set(kinds) <= set(_SCALARS)
    return "const" not in node and (listed or kinds in tuple(_SCALARS) or "enum" in node)


def _loosened(node: Any) -> Any:
    """The same, but nothing is required and anything may be empty (which removes it from the base)."""
    if isinstance(node, list):
        return [_loosened(part) for part in node]
    if not isinstance(node, dict):
        return node
    kept: Node = {}
    for key, value in copy.deepcopy(node).items():
        if key in ("required", "minProperties", "discriminator"):
            continue
        if key in ("properties", "patternProperties"):
            kept[key] = {name: {"anyOf": [_loosened(part), {"type": "null"}]} for name, part in value.items()}
        elif key == "additionalProperties" and isinstance(value, dict):
            kept[key] = {"anyOf": [_loosened(value), {"type": "null"}]}
        elif key == "$ref":
            kept[key] = value if value == _KNOWN else f"{value}{_DIFFERENCE}"
        elif key in ("items", "anyOf", "oneOf", "allOf"):
            kept["anyOf" if key == "oneOf" else key] = _loosened(value)
        else:
            kept[key] = value
    return kept
