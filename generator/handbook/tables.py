"""Tables as rows of sentences with marks; captions and heads come from the interface wording."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from generator import quantities
from generator.figures.record import Figure
from generator.figures.tanks import heater_power_w
from generator.handbook.book import Book
from generator.handbook.marks import clean, tag, valued
from generator.handbook.render import interface

Row = Sequence[str]


@dataclass(frozen=True)
class Column:
    """A column's head; numbers stand to the right."""

    head: str
    number: bool = False


@dataclass(frozen=True)
class Table:
    """Every cell is a sentence that may hold marks; the first of a row names it.

    On a phone the cells of a ``stacked`` one stand below each other, each behind its column's head.
    """

    id: str
    title: str
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    stacked: bool = False


def table(name: str, rows: Iterable[Row]) -> Table:
    """The table ``name`` of the interface wording, filled. A head that begins with # is a number's."""
    words = interface()["tables"][name]
    columns = tuple(Column(head.removeprefix("#"), head.startswith("#")) for head in words["columns"])
    filled = tuple(tuple(cell or interface()["none"] for cell in row) for row in rows)
    for row in filled:
        if len(row) != len(columns):
            raise ValueError(name)
    title, caption, stacked = words["title"], words["caption"], bool(words.get("stacked"))
    return Table(f"table-{name}".replace("_", "-"), title, caption, columns, filled, stacked)


class Words:
    """Short ways to word what stands in the profile: quantities, yes/no, kinds."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.units = book.profile.units

    def quantity(self, value: float | None, kind: str) -> str:
        """A stated value as printed, or nothing."""
        if value is None:
            return ""
        return quantities.show(value, kind, units=self.units, rounding="exact").text

    def figure(self, figure_id: str) -> str:
        """A figure's value as a mark; nothing where this plant has none."""
        return valued(self.book.figures.get(figure_id))

    def cover(self, vessel_id: str) -> str:
        """From which level and volume on the vessel's heater is covered."""
        parts = (self.figure(f"{vessel_id}.cover_level"), self.figure(f"{vessel_id}.cover_volume"))
        return " · ".join(part for part in parts if part)

    def yes(self, value: bool) -> str:
        return str(interface()["yes" if value else "no"])

    def kind(self, group: str, value: str) -> str:
        """What the interface wording calls a kind of thing."""
        return str(interface()["kinds"][group][value])

    def thing(self, equipment_id: str) -> str:
        """Painted label and name of a piece of equipment."""
        profile = self.book.profile
        for section in (
            profile.vessels,
            profile.pumps,
            profile.inline,
            profile.condensers,
            profile.hoses,
            profile.supplies,
        ):
            if equipment_id in section:
                return f"{clean(section[equipment_id].name)} {tag(section[equipment_id].label)}"
        return tag(self.book.plant.label(equipment_id))

    def end(self, ref: str) -> str:
        """Where a line or hose ends: equipment and port, in words."""
        owner, _, port = ref.partition(".")
        profile = self.book.profile
        if owner == "open":
            return str(interface()["open_spout"])
        if owner in profile.tees:
            return clean(profile.tees[owner].name or owner.replace("_", " "))
        label = tag(profile.valves[owner].label) if owner in profile.valves else self.thing(owner)
        return f"{label}, {port.replace('_', ' ')}" if port else label


def vessels(book: Book) -> Table:
    """What each vessel is for, holds, and up to where it may be filled."""
    w = Words(book)
    rows = []
    for tank in book.plant.tanks.values():
        roles = ", ".join(w.kind("role", role) for role in tank.vessel.roles)
        rows.append(
            (
                tag(tank.label),
                clean(tank.vessel.name),
                roles,
                w.figure(f"{tank.id}.capacity") or w.quantity(tank.capacity_m3, "volume"),
                w.figure(f"{tank.id}.fill_limit"),
                w.figure(f"{tank.id}.fill_limit_level"),
                w.figure(f"{tank.id}.cover_volume"),
                w.figure(f"{tank.id}.cover_level"),
            )
        )
    return table("vessels", rows)


def inventory(book: Book) -> Table:
    """What each vessel may hold, and how much of it at most."""
    w = Words(book)
    rows = []
    for tank in book.plant.tanks.values():
        held = "; ".join(dict.fromkeys(w.kind("holds", role) for role in tank.vessel.roles))
        most = w.figure(f"{tank.id}.fill_limit") or w.quantity(tank.capacity_m3, "volume")
        rows.append((tag(tank.label), clean(tank.vessel.name), held, most, " "))
    return table("inventory", rows)


def fittings(book: Book) -> Table:
    """Material, vent, instruments and hottest temperature of each vessel."""
    w = Words(book)
    rows = []
    for tank in book.plant.tanks.values():
        v = tank.vessel
        gauge = (
            f"{w.kind('gauge', v.gauge.kind)}, {w.quantity(v.gauge.resolution_m3, 'volume')}"
            if v.gauge
            else ""
        )
        thermometer = (
            f"{tag(v.thermometer.label)} {w.quantity(v.thermometer.resolution_k, 'temperature_difference')}"
            if v.thermometer
            else ""
        )
        vent = w.kind("vent", v.vent.to)
        if v.vent.condenser:
            vent = f"{vent} {tag(book.plant.label(v.vent.condenser))}"
        top = w.quantity(v.max_temperature_c, "temperature")
        rows.append(
            (tag(v.label), w.kind("material", v.material), vent, gauge, thermometer, top, w.yes(v.earthed))
        )
    return table("fittings", rows)


def heels(book: Book) -> Table:
    """What stays below each outlet that a line-up uses."""
    w, bottom = Words(book), str(interface()["bottom"])
    rows = []
    for tank in book.plant.tanks.values():
        for port_id, port in tank.vessel.ports.items():
            heel = book.figures.get(f"{tank.id}.{port_id}.heel")
            if heel:
                height = w.quantity(port.mouth_m, "length") if port.mouth_m else bottom
                rows.append((tag(tank.label), port_id.replace("_", " "), height, valued(heel)))
    return table("heels", rows)


def heaters(book: Book) -> Table:
    """Every heater: power at this supply, cover, thermostat, limits."""
    w = Words(book)
    rows = []
    for vessel_id, vessel in book.profile.vessels.items():
        for heater in vessel.heaters.values():
            limit = tag(heater.high_limit.label) if heater.high_limit else ""
            rows.append(
                (
                    tag(heater.label),
                    w.thing(vessel_id),
                    w.figure(f"{vessel_id}.element_power")
                    if len(vessel.heaters) == 1
                    else w.quantity(heater_power_w(heater), "power"),
                    w.quantity(heater.supply_voltage_v, "voltage"),
                    w.cover(vessel_id),
                    tag(heater.thermostat.label),
                    limit,
                    w.yes(heater.low_level_cutout),
                    w.quantity(heater.circuit_a, "current"),
                )
            )
    return table("heaters", rows)


def pumps(book: Book) -> Table:
    """Every pump."""
    w = Words(book)
    rows = (
        (
            tag(pump.label),
            clean(pump.name),
            w.kind("pump", pump.kind),
            w.quantity(pump.flow_m3s, "flow"),
            w.kind("stopped", pump.when_stopped),
            w.quantity(pump.max_temperature_c, "temperature"),
            w.yes(pump.rated_for_vapour),
        )
        for pump in book.profile.pumps.values()
    )
    return table("pumps", rows)


def hoses(book: Book) -> Table:
    """Every hose, its ends and where it rests."""
    w = Words(book)
    rows = (
        (
            tag(hose.label),
            clean(hose.name),
            w.end(hose.fixed),
            "; ".join(w.end(end) for end in hose.ends),
            w.kind("free_end", hose.free_end),
            w.end(hose.normal) if hose.normal else w.kind("hose", "stowed"),
        )
        for hose in book.profile.hoses.values()
    )
    return table("hoses", rows)


def in_line(book: Book) -> Table:
    """Towers, filters and strainers."""
    w = Words(book)
    rows = (
        (
            tag(part.label),
            clean(part.name),
            w.kind("inline", part.kind),
            w.quantity(part.bed_volume_m3, "volume"),
            w.figure("tower_flow") if part.kind.endswith("tower") else "",
            w.quantity(part.max_temperature_c, "temperature"),
            w.quantity(part.rated_pressure_pa, "pressure"),
        )
        for part in book.profile.inline.values()
    )
    return table("in_line", rows)


def condensers(book: Book) -> Table:
    """Every condenser."""
    w = Words(book)
    rows = (
        (
            tag(part.label),
            clean(part.name),
            w.thing(part.drains_to),
            tag(part.water_valve),
            w.figure("condenser_water") or w.quantity(part.water_flow_m3s, "flow"),
        )
        for part in book.profile.condensers.values()
    )
    return table("condensers", rows)


def safety(book: Book) -> Table:
    """Stop, isolator, eyewash, extinguishers, alarm, fan, containment: where and what for."""
    w, s, words = Words(book), book.profile.safety, interface()["safety_rows"]
    cuts = ", ".join(tag(book.plant.label(part)) for part in s.emergency_stop.cuts)
    rows = [
        (words["stop"], clean(s.emergency_stop.place), f"{words['cuts']} {cuts}"),
        (words["isolator"], clean(s.isolator_place), words["isolator_does"]),
        (words["eyewash"], clean(s.eyewash_place), words["eyewash_does"]),
        (words["shower"], clean(s.shower_place or words["shower_none"]), words["shower_does"]),
        (words["spill_kit"], clean(s.spill_kit_place), words["spill_kit_does"]),
    ]
    rows += [(words["extinguisher"], clean(e.place), w.kind("extinguisher", e.kind)) for e in s.extinguishers]
    if s.gas_alarm:
        warns = w.quantity(s.gas_alarm.warns_at_ppm, "parts_per_million")
        leaves = w.quantity(s.gas_alarm.leaves_at_ppm, "parts_per_million")
        rows.append(
            (
                words["gas_alarm"],
                clean(s.gas_alarm.place),
                f"{words['warns']} {warns}, {words['leaves']} {leaves}",
            )
        )
    if s.fan:
        needed = w.figure("ventilation_needed")
        moves = f"{words['moves']} {w.quantity(s.fan.flow_m3s, 'air_flow')}"
        rows.append(
            (
                f"{words['fan']} {tag(s.fan.label)}",
                clean(s.fan.switch_place),
                f"{moves}; {words['needs']} {needed}" if needed else moves,
            )
        )
    if s.containment:
        held = w.figure("containment_there")
        rows.append(
            (
                words["bund"],
                ", ".join(tag(book.plant.label(v)) for v in s.containment.holds),
                f"{words['holds']} {held}; {words['needs']} {w.figure('containment_needed')}" if held else "",
            )
        )
    return table("safety", rows)


Maker = Callable[[Book], Table]
EQUIPMENT: tuple[Maker, ...] = (vessels, heels, fittings, heaters, pumps, hoses, in_line, condensers)


def figure_rows(book: Book, ids: Iterable[str]) -> list[Figure]:
    """Those of the figures that this plant has, in the order given."""
    return [figure for figure in (book.figures.get(i) for i in ids) if figure is not None]
