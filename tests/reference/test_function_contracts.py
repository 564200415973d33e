"""Every public function of the chemistry says what it takes, gives, and rests on."""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Callable
from typing import Any

import pytest

from generator import chemistry
from generator.chemistry.ranges import OutOfRange
from generator.chemistry.species import Base

TAGS = ("published", "library-computed", "derived", "common practice, no source", "from memory")


def public_functions() -> list[Callable[..., Any]]:
    found = []
    for info in pkgutil.iter_modules(chemistry.__path__):
        module = importlib.import_module(f"{chemistry.__name__}.{info.name}")
        found += [
            value
            for name, value in vars(module).items()
            if inspect.isfunction(value) and not name.startswith("_") and value.__module__ == module.__name__
        ]
    return found


FUNCTIONS = public_functions()


def named(function: Callable[..., Any]) -> str:
    return f"{function.__module__.rpartition('.')[2]}.{function.__name__}"


each_function = pytest.mark.parametrize("function", FUNCTIONS, ids=named)


def section(doc: str, start: str) -> str:
    """Text of one entry: from its name to the next line indented no deeper."""
    match = re.search(rf"^( *){re.escape(start)}:(.*(?:\n\1 +.*)*)", doc, re.MULTILINE)
    return match.group(2) if match else ""


def test_the_walk_finds_the_functions() -> None:
    assert len(FUNCTIONS) > 50


@each_function
def test_every_argument_has_a_unit(function: Callable[..., Any]) -> None:
    arguments = section(inspect.cleandoc(function.__doc__ or ""), "Args")
    for name in inspect.signature(function).parameters:
        text = section(arguments, name)
        assert re.search(r"\[[^\]]+\]", text), f"{name} has no unit in brackets"


@each_function
def test_result_has_a_unit(function: Callable[..., Any]) -> None:
    text = section(inspect.cleandoc(function.__doc__ or ""), "Returns")
    assert re.search(r"\[[^\]]+\]", text)


@each_function
def test_source_is_named_under_a_known_word(function: Callable[..., Any]) -> None:
    source = section(inspect.cleandoc(function.__doc__ or ""), "Source").strip()
    assert source.startswith(tuple(f"{tag};" for tag in TAGS)), source
    assert len(source.partition(";")[2].strip()) > 5


def takes_only_numbers(function: Callable[..., Any]) -> bool:
    hints = inspect.get_annotations(function, eval_str=True)
    hints.pop("return")
    return float in hints.values() and all(hint in (float, Base) for hint in hints.values())


NUMERIC = [f for f in FUNCTIONS if takes_only_numbers(f) and not f.__module__.endswith("ranges")]


@pytest.mark.parametrize("function", NUMERIC, ids=named)
def test_nan_is_refused(function: Callable[..., Any]) -> None:
    """With NaN for its numbers a function raises: NaN never travels into a figure."""
    hints = inspect.get_annotations(function, eval_str=True)
    hints.pop("return")
    values: dict[str, Any] = {name: "KOH" if hint == Base else math.nan for name, hint in hints.items()}
    with pytest.raises(OutOfRange):
        function(**values)
