"""Random rigs, each refused with findings or fit to be issued; nothing else may happen.

The long campaign: ``python -m tests.campaign.run 20000 [first seed]``. A rig that breaks something is
printed with the simplest choices that still break it; they become a case of ``test_campaign.py``.
"""

from __future__ import annotations

import sys
import tempfile
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from generator.problems import FillmarkError
from generator.register.survey import survey
from tests.campaign.choices import Choices, shrunk
from tests.campaign.rigs import profile_text

#: A random rig's batch is broken off at every so-manieth step.
FEW_BREAKS = 97


@dataclass(frozen=True)
class Outcome:
    """``kind``: issued, refused or broken; ``why``: the rules or codes that refused it, or what broke."""

    kind: str
    why: tuple[str, ...] = ()


def outcome(choices: Choices, folder: Path, breaks: int | None = FEW_BREAKS) -> Outcome:
    """What becomes of a rig. A refusal without a place or a mend breaks the promise made to its owner."""
    path = folder / "rig.yaml"
    path.write_text(profile_text(choices), encoding="utf-8")
    try:
        found = survey(path, breaks=breaks).book.findings
    except FillmarkError as error:
        if all(problem.place and problem.what and problem.mend for problem in error.problems):
            return Outcome("refused", tuple(sorted({problem.code for problem in error.problems})))
        return Outcome("broken", tuple(problem.code for problem in error.problems))
    except Exception as error:
        return Outcome("broken", (f"{type(error).__name__}: {error}",))
    stops = [finding for finding in found if finding.severity == "stop"]
    if not all(finding.place and finding.what and finding.mend for finding in stops):
        return Outcome("broken", tuple(finding.rule for finding in stops))
    return Outcome("refused" if stops else "issued", tuple(sorted({finding.rule for finding in stops})))


def simplest(seed: int, folder: Path) -> dict[str, float]:
    """The simplest choices that break as this seed does."""

    def fails(given: Mapping[str, float]) -> bool:
        return outcome(Choices(given=given), folder).kind == "broken"

    whole = Choices(seed=seed)
    profile_text(whole)
    return shrunk(whole.taken, fails)


def main(count: int, first: int = 0) -> int:
    """Runs the campaign and prints what became of the rigs; 1 where anything broke."""
    kinds: Counter[str] = Counter()
    reasons: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for seed in range(first, first + count):
            result = outcome(Choices(seed=seed), folder)
            kinds[result.kind] += 1
            reasons.update(result.why)
            if result.kind == "broken":
                print(seed, result.why, simplest(seed, folder))
    print(dict(kinds))
    for why, times in reasons.most_common():
        print(f"{times:6} {why}")
    return 1 if kinds["broken"] else 0


if __name__ == "__main__":
    sys.exit(main(*(int(text) for text in sys.argv[1:3])))
