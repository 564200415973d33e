"""Following one of pydantic's error paths through the models and the tree at once.

The path holds names of union branches that are not in the file, so neither the models nor the tree is enough.
"""

from __future__ import annotations

import types
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel, RootModel, Tag
from pydantic.fields import FieldInfo

from generator.profile.nodes import Trail, Tree


@dataclass(frozen=True)
class Spot:
    """Where an error path ends: the trail in the tree, the type expected there, and the field that says so.

    ``branches`` names the choices made at plain unions on the way, each with the trail it was made at.
    """

    trail: Trail
    annotation: Any
    field: FieldInfo | None
    branches: tuple[tuple[Trail, str], ...]
    at_key: bool = False

    @property
    def model(self) -> type[BaseModel] | None:
        return as_model(self.annotation)


def bare(annotation: Any) -> Any:
    """The type below ``Annotated``, ``Optional``, type aliases and root models; a true union stays one."""
    while True:
        if get_origin(annotation) is Annotated:
            annotation = get_args(annotation)[0]
        elif hasattr(annotation, "__value__"):
            annotation = annotation.__value__
        elif is_union(annotation) and len(members(annotation)) == 1:
            annotation = members(annotation)[0]
        elif isinstance(annotation, type) and issubclass(annotation, RootModel):
            annotation = annotation.model_fields["root"].annotation
        else:
            return annotation


def is_union(annotation: Any) -> bool:
    """Whether the annotation is ``X | Y``, Optional included."""
    return get_origin(annotation) in (Union, types.UnionType)


def members(annotation: Any) -> list[Any]:
    """A union's members but None."""
    return [member for member in get_args(annotation) if member is not type(None)]


def as_model(annotation: Any) -> type[BaseModel] | None:
    """The pydantic model an annotation stands for, if it is one."""
    found = bare(annotation)
    return found if isinstance(found, type) and issubclass(found, BaseModel) else None


def mapping_value(annotation: Any) -> Any | None:
    """V of ``dict[K, V]``; None if the annotation is no mapping."""
    found = bare(annotation)
    origin = get_origin(found)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return get_args(found)[1]
    return None


def list_value(annotation: Any) -> Any | None:
    """X of ``list[X]`` and its like; None if the annotation is no list."""
    found = bare(annotation)
    origin = get_origin(found)
    if isinstance(origin, type) and issubclass(origin, (Sequence, set, frozenset)) and get_args(found):
        return get_args(found)[0]
    return None


def choices(annotation: Any) -> list[str]:
    """The texts a ``Literal`` allows, as written in a file."""
    found = bare(annotation)
    return [str(choice) for choice in get_args(found)] if get_origin(found) is Literal else []


def fields_by_key(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """A model's fields by the key the file uses."""
    return {key_of(name, field): field for name, field in model.model_fields.items()}


def key_of(name: str, field: FieldInfo) -> str:
    """The key a file uses for a field."""
    alias = field.validation_alias if isinstance(field.validation_alias, str) else field.alias
    return alias or name


def locate(model: type[BaseModel], tree: Tree, loc: Sequence[str | int]) -> Spot:
    """The spot an error path leads to; parts that stand in neither the models nor the tree are skipped."""
    annotation: Any = model
    field: FieldInfo | None = None
    trail: Trail = ()
    branches: tuple[tuple[Trail, str], ...] = ()
    data: Any = tree.data
    for part in loc:
        annotation = bare(annotation)
        if part == "[key]":
            return Spot(trail, str, None, branches, at_key=True)
        if is_union(annotation):
            chosen, told_apart = _branch(annotation, str(part))
            if not told_apart:
                branches += ((trail, str(part)),)
            annotation = chosen
            continue
        annotation, field = _below(annotation, part, field)
        if isinstance(data, dict) and part in data:
            data, trail = data[str(part)], (*trail, part)
        elif isinstance(data, list) and isinstance(part, int) and 0 <= part < len(data):
            data, trail = data[part], (*trail, part)
    return Spot(trail, annotation, field, branches)


def _below(annotation: Any, part: str | int, field: FieldInfo | None) -> tuple[Any, FieldInfo | None]:
    model = as_model(annotation)
    if model is not None:
        found = fields_by_key(model).get(str(part))
        return (found.annotation, found) if found is not None else (Any, None)
    inside = mapping_value(annotation)
    if inside is None:
        inside = list_value(annotation)
    return (inside, None) if inside is not None else (Any, field)


def _branch(union: Any, name: str) -> tuple[Any, bool]:
    """The member an error path's branch name means, and whether the file itself tells the branches apart."""
    tagged = [member for member in members(union) if _tag(member) == name]
    if tagged:
        return tagged[0], True
    models = [m for m in map(as_model, members(union)) if m is not None]
    for model in models:
        if any(choices(f.annotation) == [name] for f in model.model_fields.values()):
            return model, True
    for model in models:
        if any(name in choices(f.annotation) for f in model.model_fields.values()):
            return model, True
    named = [m for m in members(union) if getattr(bare(m), "__name__", None) == name]
    return (named[0] if named else Any), False


def _tag(member: Any) -> str | None:
    notes = getattr(member, "__metadata__", ())
    return next((note.tag for note in notes if isinstance(note, Tag)), None)
