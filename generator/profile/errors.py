"""Pydantic's errors as problems: each with the place in the file, and the facts that its wording needs."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, get_args

from pydantic import BaseModel
from pydantic_core.core_schema import ErrorType

from generator import quantities
from generator.problems import Place, Problem
from generator.profile.nodes import Tree, dotted
from generator.profile.shapes import (
    Spot,
    as_model,
    bare,
    choices,
    fields_by_key,
    list_value,
    locate,
    mapping_value,
)

Facts = dict[str, Any]
_BUILT_IN = frozenset(get_args(ErrorType))
_CLOSE = 0.6
_LISTED = 15
_TEXT = 64
_NUMBER = re.compile(r"^[\d.]+")

_LIMITS = {"greater_than": ("gt", ">"), "greater_than_equal": ("ge", "≥"), "less_than": ("lt", "<")}
_LIMITS["less_than_equal"] = ("le", "≤")

# Pydantic's type of error to our code, where nothing but the name differs.
_RENAMED = {
    **dict.fromkeys(("float_type", "float_parsing", "decimal_parsing", "finite_number"), "not_a_number"),
    **dict.fromkeys(("int_type", "int_parsing", "int_from_float", "int_parsing_size"), "not_whole"),
    **dict.fromkeys(("bool_type", "bool_parsing"), "not_yes_no"),
    **dict.fromkeys(("date_type", "date_parsing", "date_from_datetime_parsing"), "not_a_date"),
    "string_too_short": "text_too_short",
    "string_too_long": "text_too_long",
    "too_short": "too_few",
    "too_long": "too_many",
}
_PATTERNS = (("^[a-z]", "text_id"), ("http", "text_address"))
_COLLECTIONS = ("dict_type", "mapping_type", "list_type", "tuple_type", "set_type")
_SHAPES = frozenset((*_COLLECTIONS, "model_type", "model_attributes_type"))
_SCALARS = frozenset(("string_type", "float_type", "int_type", "bool_type", "date_type"))


def problems_of(model: type[BaseModel], tree: Tree, errors: Iterable[Mapping[str, Any]]) -> list[Problem]:
    """Each of pydantic's errors as a problem, save what the tree reported or what follows from another."""
    spotted = [(error, locate(model, tree, error["loc"])) for error in errors]
    spotted = [pair for pair in _one_branch(spotted) if not tree.is_faulty(pair[1].trail)]
    misspelt: set[tuple[Any, ...]] = set()
    for error, _ in spotted:
        if error["type"] == "extra_forbidden":
            _, near = _near(model, tree, error["loc"])
            misspelt.update((error["loc"][:-1], key) for key in near[:1])
    told = []
    for error, spot in spotted:
        missed = (error["loc"][:-1], error["loc"][-1]) if error["type"] == "missing" else None
        if missed not in misspelt:
            told.append(_problem(model, tree, error, spot))
    return told


def _one_branch(spotted: Sequence[tuple[Mapping[str, Any], Spot]]) -> list[tuple[Mapping[str, Any], Spot]]:
    """Of a union that nothing tells apart, only the errors of the branch that fits the value best."""
    kept = list(spotted)
    for trail in {trail for _, spot in spotted for trail, _ in spot.branches}:
        here: dict[str, list[tuple[Mapping[str, Any], Spot]]] = {}
        for pair in kept:
            for at, branch in pair[1].branches:
                if at == trail:
                    here.setdefault(branch, []).append(pair)
        shaped = {b: pairs for b, pairs in here.items() if not any(_misfit(p, trail) for p in pairs)}
        best = min((shaped or here).values(), key=len, default=[])
        losers = [id(pair[0]) for pairs in here.values() for pair in pairs if pairs is not best]
        kept = [pair for pair in kept if id(pair[0]) not in losers]
    return kept


def _misfit(pair: tuple[Mapping[str, Any], Spot], trail: tuple[str | int, ...]) -> bool:
    return pair[1].trail == trail and pair[0]["type"] in _SHAPES | _SCALARS


def _problem(model: type[BaseModel], tree: Tree, error: Mapping[str, Any], spot: Spot) -> Problem:
    kind = str(error["type"])
    value = tree.at(spot.trail)
    facts: Facts = {
        "key": str(spot.trail[-1]) if spot.trail else "",
        "where": dotted(spot.trail),
        "text": _short(value),
    }
    if kind == "missing":
        return _missing(model, tree, error, facts)
    if kind == "extra_forbidden":
        return _unknown(model, tree, error, spot, facts)
    if kind not in _BUILT_IN:
        return _custom(tree, error, spot, facts)
    if spot.at_key:
        return Problem("id_not_fit", tree.key_place(spot.trail), facts)
    if kind in ("union_tag_not_found", "union_tag_invalid"):
        return _tag(tree, error, spot, facts)
    if value is None and (kind in _SHAPES or kind in _SCALARS or kind in ("literal_error", "enum")):
        return Problem("empty_value", tree.key_place(spot.trail), facts | {"example": example(spot)})
    place = tree.place(spot.trail)
    if kind in _SHAPES or (isinstance(value, (dict, list)) and kind in _SCALARS | {"literal_error", "enum"}):
        return Problem("wrong_shape", place, facts | {"wanted": _form(spot, facts["key"])})
    return _by_value(error, spot, place, facts)


def _by_value(error: Mapping[str, Any], spot: Spot, place: Place, facts: Facts) -> Problem:
    kind, context = str(error["type"]), dict(error.get("ctx") or {})
    if kind in ("literal_error", "enum"):
        allowed = choices(spot.annotation) or re.findall(r"'((?:[^'\\]|\\.)*)'", str(context.get("expected")))
        return Problem("not_one_of", place, facts | _choice(str(facts["text"]), allowed))
    if kind in _LIMITS:
        name, sign = _LIMITS[kind]
        return Problem("out_of_range", place, facts | {"limit": f"{sign} {_limit(context[name], spot)}"})
    if kind == "string_pattern_mismatch":
        pattern = str(context.get("pattern", ""))
        code = next((code for mark, code in _PATTERNS if mark in pattern), "text_pattern")
        return Problem(code, place, facts | {"pattern": pattern})
    if kind in _RENAMED:
        limit = context.get("min_length", context.get("max_length", ""))
        return Problem(_RENAMED[kind], place, facts | {"limit": limit})
    reason = str(error["msg"]).removeprefix("Value error, ").removeprefix("Assertion failed, ")
    return Problem("not_valid", place, facts | {"reason": reason})


def _missing(model: type[BaseModel], tree: Tree, error: Mapping[str, Any], facts: Facts) -> Problem:
    parent = locate(model, tree, error["loc"][:-1])
    key = str(error["loc"][-1])
    field = fields_by_key(parent.model).get(key) if parent.model else None
    spot = Spot((*parent.trail, key), field.annotation if field else Any, field, ())
    facts |= {"key": key, "where": dotted(parent.trail), "example": example(spot)}
    if spot.trail in tree.removed:
        return Problem("needed_but_removed", tree.removed[spot.trail], facts | {"where": dotted(spot.trail)})
    code = "missing_key" if parent.trail else "missing_section"
    return Problem(code, tree.key_place(parent.trail) if parent.trail else Place(tree.file), facts)


def _unknown(
    model: type[BaseModel], tree: Tree, error: Mapping[str, Any], spot: Spot, facts: Facts
) -> Problem:
    known, near = _near(model, tree, error["loc"])
    shown = near or known[:_LISTED] + ["…"] * (len(known) > _LISTED)
    facts |= {"key": str(error["loc"][-1]), "near": ", ".join(shown), "closest": near[0] if near else ""}
    return Problem("unknown_key", tree.key_place(spot.trail), facts)


def _near(model: type[BaseModel], tree: Tree, loc: Sequence[str | int]) -> tuple[list[str], list[str]]:
    """The keys known where an unknown one stands, and the closest of them."""
    parent = locate(model, tree, loc[:-1])
    known = list(fields_by_key(parent.model)) if parent.model else []
    return known, _closest(str(loc[-1]), known)


def _closest(text: str, known: Sequence[str]) -> list[str]:
    folded = {_fold(key): key for key in known}
    return [folded[key] for key in difflib.get_close_matches(_fold(text), list(folded), 3, _CLOSE)]


def _fold(text: str) -> str:
    return text.strip().lower().replace("-", "_").replace(" ", "_")


def _choice(text: str, allowed: Sequence[str]) -> Facts:
    near = _closest(text, allowed)
    ordered = [*near, *(choice for choice in allowed if choice not in near)]
    return {"text": text, "allowed": ", ".join(ordered), "near": near[0] if near else ""}


def _custom(tree: Tree, error: Mapping[str, Any], spot: Spot, facts: Facts) -> Problem:
    """A model's own error. Its fact ``at``, a key or a list of keys, moves the place further down."""
    context = dict(error.get("ctx") or {})
    at = context.pop("at", ())
    trail = (*spot.trail, *((at,) if isinstance(at, str) else tuple(at)))
    code = str(error["type"])
    if code == "wrong_shape" and tree.at(trail) is None:
        return Problem("empty_value", tree.key_place(trail), facts | {"example": example(spot)})
    if code == "wrong_shape":
        context.setdefault("wanted", _form(spot, str(facts["key"])))
    return Problem(code, tree.place(trail), facts | context)


def _tag(tree: Tree, error: Mapping[str, Any], spot: Spot, facts: Facts) -> Problem:
    context = dict(error.get("ctx") or {})
    key = str(context.get("discriminator", "")).strip("'\"")
    value = tree.at((*spot.trail, key))
    allowed = re.findall(r"'((?:[^'\\]|\\.)*)'", str(context.get("expected_tags", ""))) or _tags(spot, key)
    facts |= {"key": key, "example": f"{key}: {' | '.join(allowed)}"}
    if value is None:
        code = "empty_value" if (*spot.trail, key) in tree.key_places else "missing_key"
        return Problem(code, tree.key_place((*spot.trail, key)), facts)
    facts["where"] = dotted((*spot.trail, key))
    return Problem("not_one_of", tree.place((*spot.trail, key)), facts | _choice(_short(value), allowed))


def _tags(spot: Spot, key: str) -> list[str]:
    models = [m for m in map(as_model, getattr(bare(spot.annotation), "__args__", ())) if m is not None]
    fields = [fields_by_key(m)[key] for m in models if key in fields_by_key(m)]
    return [text for field in fields for text in choices(field.annotation)]


def _kinds(annotation: Any) -> list[str]:
    """The keys by which the models of a union tell themselves apart."""
    models = [m for m in map(as_model, getattr(bare(annotation), "__args__", ())) if m is not None]
    return [k for m in models[:1] for k, f in fields_by_key(m).items() if len(choices(f.annotation)) == 1]


def example(spot: Spot) -> str:
    """What to type for a key, ``volume: … L``: dots stand for the number, lest an example be taken for it."""
    key = str(spot.trail[-1]) if spot.trail else ""
    allowed = choices(spot.annotation)
    if allowed:
        return f"{key}: {' | '.join(allowed)}"
    shown = _json_schema(spot).get("examples")
    if shown:
        return f"{key}: {_NUMBER.sub('…', str(shown[0]))}"
    if bare(spot.annotation) is bool:
        return f"{key}: yes | no"
    return _form(spot, key)


def _form(spot: Spot, key: str) -> str:
    model = spot.model
    if model is not None:
        fields = fields_by_key(model)
        required = [k for k, f in fields.items() if f.is_required()] or list(fields)
        return f"{key}: {{{', '.join(f'{k}: …' for k in required[:4])}}}"
    if mapping_value(spot.annotation) is not None:
        return f"{key}: {{…: …}}"
    kinds = _kinds(spot.annotation)
    if kinds:
        return f"{key}: {{{kinds[0]}: {' | '.join(_tags(spot, kinds[0]))}, …}}"
    return f"{key}: […, …]" if list_value(spot.annotation) is not None else f"{key}: …"


def _json_schema(spot: Spot) -> dict[str, Any]:
    """What the type's JSON Schema note says, wherever pydantic keeps it."""
    notes = [*(spot.field.metadata if spot.field else ()), *getattr(spot.annotation, "__metadata__", ())]
    inner = getattr(spot.annotation, "__args__", ())
    notes += [note for part in inner for note in getattr(part, "__metadata__", ())]
    for note in notes:
        found = getattr(note, "json_schema", None)
        if isinstance(found, dict):
            return found
    extra = spot.field.json_schema_extra if spot.field else None
    return dict(extra) if isinstance(extra, dict) else {}


def _limit(limit: Any, spot: Spot) -> str:
    """A bound as the file would write it; bounds of quantities are kept in SI."""
    kind = str(_json_schema(spot).get("description", "")).replace(" ", "_")
    if not kind:
        return f"{limit:g}" if isinstance(limit, float) else str(limit)
    return quantities.show(float(limit), kind, rounding="exact").text


def _short(value: Any) -> str:
    if value is None or isinstance(value, (dict, list)):
        return ""
    text = " ".join(str(value).split())
    return text if len(text) <= _TEXT else text[: _TEXT - 1] + "…"
