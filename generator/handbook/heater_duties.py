"""What each heater does in a batch: its procedure, set point and limit, as the steps say them."""

from __future__ import annotations

from dataclasses import dataclass

from generator.handbook.book import Book
from generator.handbook.marks import tag


@dataclass(frozen=True)
class Duty:
    """One use of a heater; the texts hold marks. ``job`` is empty where no batch uses it."""

    heater: str
    vessel: str
    job: str = ""
    set_point: str = ""
    limit: str = ""


def heater_duties(book: Book) -> list[Duty]:
    """In the order of a batch; a heater that no procedure of a batch uses comes last."""
    found: list[Duty] = []
    used = set()
    for procedure in (*book.by_group("run"), *book.by_group("finish")):
        for step in procedure.steps:
            if step.action == "thermostat":
                heater = str(step.data["heater"])
                used.add(heater)
                job = f"{procedure.number} {procedure.title}"
                found.append(
                    Duty(*_labels(book, heater), job, str(step.data["set_point"]), str(step.data["limit"]))
                )
    idle = (
        f"{vessel_id}.{heater}"
        for vessel_id, vessel in book.profile.vessels.items()
        for heater in vessel.heaters
    )
    return [*found, *(Duty(*_labels(book, heater)) for heater in idle if heater not in used)]


def _labels(book: Book, heater: str) -> tuple[str, str]:
    """Marks of a heater's label and of its vessel's."""
    vessel = heater.partition(".")[0]
    return tag(book.plant.label(heater)), tag(book.plant.label(vessel))
