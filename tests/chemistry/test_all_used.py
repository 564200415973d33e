"""Every formula is used by something that is printed: none is kept for a rig that no profile can describe."""

from __future__ import annotations

import ast
import re
from collections import Counter
from pathlib import Path

import generator.chemistry

FOLDER = Path(generator.chemistry.__path__[0])


def test_every_public_function_is_used() -> None:
    names = Counter(
        name for path in FOLDER.parent.rglob("*.py") for name in re.findall(r"\w+", path.read_text("utf-8"))
    )
    public = [
        node.name
        for path in FOLDER.glob("*.py")
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]
    assert [name for name in public if names[name] < 2] == []
