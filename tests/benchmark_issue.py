"""How long an issue takes: a full one, an unchanged one, and one after a single valve was renumbered.

Not a test: times hang on the machine. Run it on a quiet one, from the project's folder:

    .venv/bin/python tests/benchmark_issue.py [RIG]

It prints processor seconds and each run as a share of the full one: an unchanged issue costs at most 5 %, one
valve at most 40 %, the manual apart.
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from generator.handbook.drawing.drawings import plant_drawing  # noqa: E402
from generator.plant.plant import Plant  # noqa: E402
from generator.profile.load import load  # noqa: E402
from generator.publish import manual  # noqa: E402
from generator.register.make import make_handbook  # noqa: E402

RIGS = ROOT / "equipment_profiles"
VALVE = {
    "larkstead": ('v6: {label: "6"', 'v6: {label: "16"'),
    "quillmere": ('v06: {label: "06"', 'v06: {label: "16"'),
}
UNCHANGED_AT_MOST, ONE_VALVE_AT_MOST = 0.05, 0.40


class ManualApart:
    """Counts the time that goes into the manual, which is laid out whole whatever has changed."""

    def __init__(self) -> None:
        self.seconds = 0.0
        self._make = manual.manual_pdf

    def __call__(self, *given: object, **named: object) -> bytes:
        start = time.process_time()
        made: bytes = self._make(*given, **named)  # type: ignore[arg-type]
        self.seconds += time.process_time() - start
        return made


def timed(run: Callable[[], object], apart: ManualApart) -> tuple[float, float]:
    """Processor seconds of a run, and those of them that are not the manual's."""
    start, before = time.process_time(), apart.seconds
    run()
    whole = time.process_time() - start
    return whole, whole - (apart.seconds - before)


def main(rig: str) -> None:
    """Prints the times of three issues of one rig."""
    apart = ManualApart()
    manual.manual_pdf = apart  # type: ignore[assignment]
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        profile = folder / f"{rig}.yaml"
        profile.write_bytes((RIGS / f"{rig}.yaml").read_bytes())

        def issue() -> object:
            return make_handbook(profile, folder / "build")

        full = timed(issue, apart)
        unchanged = timed(issue, apart)
        text = profile.read_text(encoding="utf-8")
        old, new = VALVE[rig]
        profile.write_text(text.replace(old, new), encoding="utf-8")
        one_valve = timed(issue, apart)
    whole, rest = full
    drawing = timed(lambda: plant_drawing(Plant(load(RIGS / f"{rig}.yaml").profile)), apart)
    lines = [
        f"{rig}: a full issue takes {whole:.1f} s, {rest:.1f} s of it without the manual",
        f"unchanged {unchanged[0]:6.2f} s = {unchanged[0] / whole:5.1%}, at most {UNCHANGED_AT_MOST:.0%}",
        f"one valve {one_valve[1]:6.2f} s = {one_valve[1] / rest:5.1%}, at most {ONE_VALVE_AT_MOST:.0%}",
        f"drawing   {drawing[0]:6.2f} s = {drawing[0] / whole:5.1%} of the full one",
    ]
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "quillmere")
