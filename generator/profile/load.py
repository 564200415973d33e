"""A profile's path to a checked profile: shape, then values, then references, all problems told in one go."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from generator.problems import FillmarkError, Place, Problem, in_order
from generator.profile import merge, references
from generator.profile.model import Profile
from generator.profile.nodes import Known, Trail, Tree
from generator.profile.salvage import Unknown
from generator.profile.shapes import choices
from generator.profile.validate import validate

MOST_SHOWN = 50


@dataclass(frozen=True)
class Loaded:
    """A profile and where it came from; ``files`` begins with the profile, its bases follow."""

    profile: Profile
    tree: Tree
    path: Path
    text: str
    files: tuple[Path, ...]
    name: str
    known: dict[Trail, Known]

    def place(self, *path: str | int) -> Place:
        """Where the profile says the thing at ``path``, or the nearest thing above it."""
        return self.tree.place(path)


def load(path: Path) -> Loaded:
    """Reads and checks a profile. Raises FillmarkError with its problems in the order of the file."""
    merged = merge.read(path)
    result = validate(merged.tree, Profile, {"units": _units(merged.tree)})
    problems = [*merged.problems, *result.problems]
    if result.partial is not None:
        found = references.check(result.partial, merged.tree, result.broken)
        problems += [p for p in found if not any(isinstance(fact, Unknown) for fact in p.facts.values())]
    if problems or result.instance is None:
        raise FillmarkError(capped(problems, str(path)))
    return Loaded(
        result.instance, merged.tree, path, merged.text, merged.files, path.stem, dict(merged.tree.known)
    )


def _units(tree: Tree) -> str:
    """The plant's units. Where they are not valid, that is told once, not again at every gallon."""
    units = tree.data.get("units")
    return units if units in choices(Profile.model_fields["units"].annotation) else "us"


def capped(problems: Iterable[Problem], file: str) -> list[Problem]:
    """In the order of the file, the first ones only, and then how many more there are."""
    ordered = in_order(problems)
    left = len(ordered) - MOST_SHOWN
    if left <= 0:
        return ordered
    return [*ordered[:MOST_SHOWN], Problem("more_problems", Place(file), {"count": left})]
