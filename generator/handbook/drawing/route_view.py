"""One line-up as a diagram: its route, the valves that bound it, and the vessels at its ends, nothing else.

What lies beyond a closed valve is left out but for its label, so that a change elsewhere leaves the drawing
alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from generator.handbook.drawing.gather import all_lines, diagram, hose_run
from generator.handbook.drawing.parts import Diagram
from generator.handbook.drawing.placed import Key
from generator.handbook.drawing.runs import CUT, OPEN, Run, loose, owner
from generator.handbook.marks import clean
from generator.plant.lineup import LineUp, Stream
from generator.plant.plant import Plant


@dataclass(frozen=True)
class Course:
    """A stream's runs in order of flow; ``ends`` are where it begins and where it ends."""

    runs: tuple[str, ...]
    ends: tuple[str, str]


@dataclass(frozen=True)
class LineUpView:
    """The diagram of a line-up and its courses, main stream first."""

    diagram: Diagram
    courses: tuple[Course, ...]


def of_line_up(plant: Plant, line_up: LineUp) -> LineUpView:
    """What a line-up's drawing shows."""
    return _Viewer(plant, line_up).view()


@dataclass
class _Viewer:
    plant: Plant
    line_up: LineUp
    _kept: dict[str, Run] = field(default_factory=dict)

    def view(self) -> LineUpView:
        """The route first, then what bounds it."""
        route = dict.fromkeys(run for stream in self.line_up.streams for run in stream.path)
        self._kept = {id_: self._runs[id_] for id_ in route}
        self._bound(route)
        first = self.line_up.streams[0]
        sources = [stream.source for stream in self.line_up.streams]
        vessels = [id_ for id_ in (*sources, first.destination) if id_ in self.plant.profile.vessels]
        made = diagram(
            self.plant,
            self._kept.values(),
            dict.fromkeys(vessels),
            {**{id_: v.normal for id_, v in self.plant.profile.valves.items()}, **self.line_up.positions},
        )
        pinless = replace(made, pins={})
        return LineUpView(pinless, tuple(self._course(stream) for stream in self.line_up.streams))

    @cached_property
    def _runs(self) -> dict[str, Run]:
        """Every line as it stands in this line-up, every hose with its end where it is put."""
        profile, line_up = self.plant.profile, self.line_up
        states = {
            **dict.fromkeys((*line_up.touching, *line_up.guard), "closed"),
            **dict.fromkeys(line_up.open, "open"),
        }
        runs = {run.id: run for run in all_lines(profile, states)}
        put = {end.hose: end.port for end in line_up.hoses}
        for id_, hose in profile.hoses.items():
            end = put.get(id_, hose.normal) or f"{CUT}{clean(hose.label)}"
            runs[id_] = hose_run(profile, id_, [end], states)
        return runs

    @cached_property
    def _joined(self) -> Mapping[str, tuple[str, ...]]:
        """What an end is joined to inside its item: a pump that passes, a tower, a valve as it is turned."""
        profile = self.plant.profile
        found: dict[str, list[str]] = {}
        through = [p for p, pump in profile.pumps.items() if pump.when_stopped == "passes"]
        for id_ in (*through, *profile.inline):
            found.setdefault(f"{id_}.in", []).append(f"{id_}.out")
            found.setdefault(f"{id_}.out", []).append(f"{id_}.in")
        for id_, valve in profile.valves.items():
            ports = (valve.positions or {}).get(self.line_up.positions.get(id_, valve.normal), ())
            for one in ports:
                found.setdefault(f"{id_}.{one}", []).extend(f"{id_}.{two}" for two in ports if two != one)
        return {ref: tuple(refs) for ref, refs in found.items()}

    def _starts(self, route: Mapping[str, None]) -> list[str]:
        """Ends from which the route can be left: all on it, and the other ports of its vessels."""
        profile = self.plant.profile
        refs = [ref for id_ in route for ref in self._runs[id_].refs]
        named = [stream.source for stream in self.line_up.streams] + [self.line_up.streams[0].destination]
        ports = [f"{v}.{p}" for v in named if v in profile.vessels for p in profile.vessels[v].ports]
        inner = [other for ref in refs for other in self._joined.get(ref, ())]
        return list(dict.fromkeys(ref for ref in (*refs, *inner, *ports) if not loose(ref)))

    def _bound(self, route: Mapping[str, None]) -> None:
        """Walk away from the route to the first closed valves; keep the branches that end at one."""
        waiting: list[tuple[str, tuple[str, ...]]] = [(ref, ()) for ref in self._starts(route)]
        reached = dict(waiting)
        cuts: dict[str, list[tuple[str, tuple[str, ...]]]] = {}
        shut = {*self.line_up.touching, *self.line_up.guard}
        for ref, way in waiting:
            for run, near in self._leaving(ref, route):
                if run.id in way:
                    continue
                stops = self._stop(run, near)
                if stops is not None:
                    cuts.setdefault(run.id, []).append((near, way))
                    continue
                far = run.ends[0] if near == run.start else run.start
                for onward in (far, *self._joined.get(far, ())):
                    if loose(onward) or onward in reached or self.plant.profile.vessels.get(owner(onward)):
                        continue
                    reached[onward] = (*way, run.id)
                    waiting.append((onward, reached[onward]))
        for id_, met in cuts.items():
            if not shut & {fitting.id for fitting in self._runs[id_].fittings}:
                continue
            for passed in met[0][1]:
                self._kept.setdefault(passed, self._runs[passed])
            self._kept[id_] = self._runs[id_] if len(met) > 1 else self._cut(self._runs[id_], met[0][0])

    def _leaving(self, ref: str, route: Mapping[str, None]) -> Iterator[tuple[Run, str]]:
        for run in self._runs.values():
            if run.id not in route and ref in run.refs:
                yield run, ref

    def _stop(self, run: Run, near: str) -> int | None:
        """Where the run's first closed valve stands, counted from its start; None where nothing shuts it."""
        at = [index for index, fitting in enumerate(run.fittings) if fitting.state == "closed"]
        if not at:
            return None
        return at[0] if near == run.start else at[-1]

    def _cut(self, run: Run, near: str) -> Run:
        """A run up to its closed valve, then the label of what comes next; a spout is drawn as one."""
        far = run.ends[0] if near == run.start else run.start
        if far.startswith(OPEN):
            return run
        at = self._stop(run, near) or 0
        beyond = far if far.startswith(CUT) else CUT + self._named(far)
        if near == run.start:
            return replace(run, ends=(beyond,), fittings=run.fittings[: at + 1], style="pipe")
        return replace(run, start=beyond, fittings=run.fittings[at:], style="pipe")

    def _named(self, ref: str) -> str:
        """The painted label of what an end belongs to; a header has that of the machine it is joined to."""
        named = owner(ref)
        if named in self.plant.profile.tees:
            near = (run for run in self._runs.values() if ref in run.refs and not run.fittings)
            beyond = (owner(far) for run in near for far in run.refs if far != ref and not loose(far))
            named = next((id_ for id_ in beyond if id_ not in self.plant.profile.tees), "")
        return clean(self.plant.label(named)) if named else ""

    def _course(self, stream: Stream) -> Course:
        start = f"{stream.source}.{stream.outlet}"
        if stream.source in self.plant.profile.supplies:
            start = stream.source
        return Course(stream.path, (start, f"{stream.destination}.{stream.inlet}"))


def nozzles_in_order(view: LineUpView, course: Course) -> list[Key]:
    """Nozzles that a stream passes, in order of flow: out of an item, into the next, out of that …"""
    found: list[Key] = []
    by_run: dict[str, list[Key]] = {}
    for nozzle in view.diagram.nozzles:
        by_run.setdefault(nozzle.run, []).append(nozzle.key)
    at = owner(course.ends[0])
    for run in course.runs:
        keys = by_run.get(run, [])
        ordered = sorted(keys, key=lambda key: key[0] != at)
        found += ordered
        if ordered:
            at = ordered[-1][0]
    return found


__all__: Sequence[str] = ["Course", "LineUpView", "nozzles_in_order", "of_line_up"]
