"""What tests of several parts share: both demo rigs issued once, for all workers of a run."""

from __future__ import annotations

import os
import shutil
from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from generator.problems import CONTENT
from generator.register.lock import locked
from generator.register.make import make_handbook

PROFILES = CONTENT.parent / "equipment_profiles"
DAY = date(2030, 4, 2)


@pytest.fixture(scope="session")
def issued(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, Path]:
    """Folder of each demo rig's first issue, by the profile's name; the profiles lie beside in `profiles`.

    Rendering takes most of a minute, so that it is done once and only read: a test that changes anything
    works on a copy.
    """
    base = tmp_path_factory.getbasetemp()
    root = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "issued"
    names = ("larkstead", "quillmere")
    with locked(root / "lock", lambda: None):
        for name in names:
            if (root / f"{name}.done").exists():
                continue
            profile = root / "profiles" / f"{name}.yaml"
            profile.parent.mkdir(exist_ok=True)
            shutil.copy(PROFILES / profile.name, profile)
            make_handbook(profile, root / "build", today=DAY)
            (root / f"{name}.done").touch()
    return {name: root / "build" / name for name in names}
