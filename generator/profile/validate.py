"""A tree and a pydantic model: a valid instance, or every problem with its place and what is still sound."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Generic, TypeVar, cast

from pydantic import BaseModel, ValidationError

from generator.problems import Problem
from generator.profile.blanks import blanks, without_blanks
from generator.profile.errors import problems_of
from generator.profile.nodes import Tree
from generator.profile.salvage import salvage

M = TypeVar("M", bound=BaseModel)


@dataclass(frozen=True)
class Result(Generic[M]):
    """``instance`` only when nothing is wrong. ``partial`` is the instance or its stand-in (see ``salvage``);
    ``broken`` are the ids that the stand-in lacks because they have errors of their own.
    """

    instance: M | None
    problems: tuple[Problem, ...]
    partial: M | None
    broken: frozenset[str] = frozenset()


def validate(tree: Tree, model: type[M], context: dict[str, Any] | None = None) -> Result[M]:
    """Checks ``tree`` against ``model``; never raises for what a file may hold."""
    empty = blanks(model, tree)
    data = without_blanks(tree.data) if empty else tree.data
    try:
        instance = model.model_validate(data, context=context)
    except ValidationError as error:
        errors = error.errors(include_url=False, include_input=False)
        partial, broken = salvage(model, data, context)
        problems = problems_of(model, tree, cast("list[dict[str, Any]]", errors))
        return Result(None, (*empty, *problems), cast(M, partial), broken)
    return Result(None if empty else instance, tuple(empty), instance)
