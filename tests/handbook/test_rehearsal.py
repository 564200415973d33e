"""The rehearsal's page, the wrong-valve tables and the rows they put on the cards of line-ups."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from generator.handbook.book import Book
from generator.handbook.card import Card
from generator.handbook.card_lineup import lineup_cards
from generator.handbook.day_plot import day, peaks
from generator.handbook.marks import tag
from generator.handbook.pages import Page, pages
from generator.handbook.rehearsal import peaks_table, rehearsed, stages_table, together_table
from generator.handbook.wrong_valve import MOST_ON_CARD, warned, wrong_table, wrongs
from generator.register.survey import survey
from generator.rehearsal.run import Moment
from generator.rehearsal.wrong_valve import HARMS, SEVERITIES
from tests.handbook.stub import ISSUE
from tests.rigs import PROFILES

RIGS = ("quillmere", "larkstead")


@cache
def book(name: str) -> Book:
    return survey(PROFILES / f"{name}.yaml").book


@cache
def made(name: str) -> tuple[Page, ...]:
    return tuple(pages(book(name), ISSUE))


def page(pages_: tuple[Page, ...] | list[Page], page_id: str = "page-rehearsal") -> Page:
    return next(one for one in pages_ if one.id == page_id)


def card(cards: list[Card], line_up: str) -> Card:
    return next(one for one in cards if one.line_ups == (line_up,))


def text_of(html: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_a_survey_makes_no_table_before_it_is_printed() -> None:
    fresh = survey(PROFILES / "larkstead.yaml", breaks=0).book
    assert not {"wrong_valves", "together", "model"} & vars(fresh).keys()


@pytest.mark.parametrize("name", RIGS)
def test_the_page_says_what_was_run_and_what_is_left_out(name: str) -> None:
    body = text_of(page(made(name)).body_html)
    for part in ("three batches back to back", "the first start-up", "broken off after each of these steps"):
        assert part in body
    for part in ("stands in pipes", "Samples and drips", "usual day", "the dose is the usual one"):
        assert part in body
    assert "Not everything held" not in body
    report = book(name).report
    assert report is not None
    for run in report.runs:
        if run.startswith("break-"):
            assert run.removeprefix("break-") in body


def test_what_did_not_hold_stands_first() -> None:
    whole = book("larkstead")
    finding = next(f for f in whole.findings if not f.stops)
    faulty = replace(finding, rule="rehearsal-sample-dry", facts=dict.fromkeys(FACTS, "x"))
    body = page(pages(replace(whole, findings=(faulty,)), ISSUE)).body_html
    assert body.index("Not everything held") < body.index("no sample can be drawn") < body.index("All else")


FACTS = ("run", "procedure", "step", "parts", "value", "limit")


@pytest.mark.parametrize("name", RIGS)
def test_plots_draw_what_the_model_held(name: str) -> None:
    whole = book(name)
    assert whole.report is not None
    levels, warm = day(whole, "levels"), day(whole, "temperatures")
    assert levels is not None and warm is not None
    some = peaks(whole)
    assert len(levels.strips) == len(some) and len(warm.strips) < len(some)
    for peak in some:
        states = [moment.state for moment in whole.report.batch]
        assert peak.volume_m3 == max(state.volume_m3(peak.tank.id) for state in states)
        assert any(state.time_s == peak.volume_at_s for state in states)
        assert peak.tank.label in levels.described
    for plot in (levels, warm):
        for strip in plot.strips:
            numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", f"{strip.area} {strip.line}")]
            assert numbers and min(numbers) >= 0.0 and max(numbers) <= max(plot.width, plot.height)
            left, top, base, right = (float(n) for n in re.findall(r"\d+\.?\d*", strip.frame))
            for x, y in re.findall(r"[ML](\S+?) ([\d.]+)", strip.line):
                assert left <= float(x) <= right and top <= float(y) <= base


def test_the_ceiling_is_drawn_while_methanol_is_in() -> None:
    warm = day(book("quillmere"), "temperatures")
    assert warm is not None
    dryer, reactor, _ = warm.strips
    assert dryer.limit == "" and "ceiling" not in " ".join(said.text for said in dryer.said)
    assert reactor.limit.startswith("M") and "ceiling 59\u00a0°C" in " ".join(s.text for s in reactor.said)


@pytest.mark.parametrize("name", RIGS)
def test_plots_have_a_text_alternative_and_the_same_in_figures(name: str) -> None:
    body = page(made(name)).body_html
    assert body.count('role="img"') == body.count("<desc>") == 2
    assert body.count("<title>") == 2
    table = re.search(r'<table class="t6 table-day-peaks">.*?</table>', body, re.DOTALL)
    assert table and table[0].count("<tr>") == len(peaks(book(name))) + 1


def test_a_full_drum_does_not_read_as_overfilled() -> None:
    # 196 L in a drum that takes no more: 51.8 gal, and its limit is printed as 51 gal.
    rows = {row[0]: row for row in peaks_table(book("larkstead")).rows}
    assert rows[tag("MEOH")][1] == book("larkstead").figures["methanol_drum.fill_limit"].text
    tank = rows[tag("TANK")]
    assert tank[4] == book("larkstead").figures["ceiling"].text == "136\u00a0°F"


def test_the_together_table_gives_every_pair_twice_and_reasons() -> None:
    whole = book("quillmere")
    rows = {row[0]: row for row in together_table(whole).rows}
    assert len(rows) == len(whole.line_ups)
    assert "Ester to methanol removal" in rows["Oil in"][1]
    assert "Oil in" in rows["Ester to methanol removal"][1]
    assert f"One pump, {tag('P1')}" in rows["Circulate to dry"][2]
    for name, may, may_not in rows.values():
        others = set(rows) - {name}
        named = {o for o in others if re.search(rf"(^|[;:] ){re.escape(o)}(; |$|\.)", f"{may}; {may_not}")}
        assert named == others


def test_what_locks_the_other_transfers_heaters_says_so() -> None:
    # A heated circulation and methanol that is let in: together only while nothing heats.
    rows = {row[0]: row for row in together_table(book("larkstead")).rows}
    may = rows["Circulate and mix"][1]
    assert f"Only with {tag('H')} off and locked: Methanol for methoxide" in may
    back = next(row[1] for name, row in rows.items() if name.startswith("Methanol for methoxide"))
    assert f"Only with {tag('H')} off and locked: " in back and "Circulate and mix" in back


def test_the_schedule_says_what_two_batches_may_overlap() -> None:
    rows = {row[:2]: row[2:] for row in stages_table(book("quillmere")).rows}
    assert len(rows) == 6  # four stages, two at a time
    assert rows["Settle, drain glycerin", "Charge, dry, titrate"] == ("yes", "–")
    allowed, why = rows["Methoxide to reaction", "Charge, dry, titrate"]
    assert allowed == "no" and "(P1) still runs" in why
    # Every heater is locked off while methoxide is made: the finishing tank's too.
    allowed, why = rows["Finish", "Methoxide to reaction"]
    assert allowed == "no" and "H3 is taken away" in why
    assert "H3 is taken away" in text_of(page(made("quillmere"), "page-batch").body_html)
    # One tank does it all.
    assert stages_table(book("larkstead")).rows == ()
    assert "nothing overlaps" in text_of(page(made("larkstead"), "page-batch").body_html)


def test_the_wrong_valve_table_stands_with_its_line_up_worst_first() -> None:
    whole = book("quillmere")
    rows = wrong_table(whole, "oil-drum-to-dryer").rows
    assert rows[0][:2] == (tag("03"), "OPEN")
    assert f"{tag('R1')} → {tag('T1')}." in rows[0][2] and "Even with the pump off." in rows[0][2]
    assert rows[0][3] == "Dangerous: methanol where there was none"
    by_valve = {row[0]: row for row in rows}
    assert f"{tag('P1')} works against closed valves." in by_valve[tag("05")][2]
    # Not while the pump stands: valve 06 leads up into the reactor.
    assert "Even with the pump off." not in by_valve[tag("06")][2]
    # A spout is known by the valve left wrong; no id stands beside it.
    assert by_valve[tag("D")][2].startswith(f"{tag('T1')} runs out at its open spout.")
    section = page(made("quillmere"), "page-line-ups").body_html.split('<section class="line-up"')[1]
    assert section.count("<tr>") == 2 + len(rows) + 1


@pytest.mark.parametrize("name", RIGS)
def test_rows_are_ordered_by_how_bad_they_are(name: str) -> None:
    whole = book(name)
    assert whole.wrong_valves
    for line_up in whole.line_ups:
        found = wrongs(whole, line_up)
        assert [wrong.rank for wrong in found] == sorted(wrong.rank for wrong in found)
        assert all(wrong.rank < (len(SEVERITIES), len(HARMS) + 1) for wrong in found)


@pytest.mark.parametrize("name", RIGS)
def test_a_card_says_the_worst_before_anything_is_opened(name: str) -> None:
    whole = book(name)
    for line_up in whole.line_ups:
        said, html = warned(whole, line_up), card(lineup_cards(whole), line_up).html_body
        # Several valves in one row do the harm each alone.
        several = sum(len(row.valves) > 1 for row in said.rows) if said else 0
        assert html.count("Any one of") == several
        dangerous = [wrong for wrong in wrongs(whole, line_up) if wrong.harms]
        assert (said is None) is not bool(dangerous)
        assert ("One valve left wrong" in html) is bool(dangerous)
        if said:
            assert 1 <= len(said.rows) <= MOST_ON_CARD
            assert html.index("Line up") < html.index("One valve left wrong") < html.index("Open, in this")
            # The worst of all is there, and a card that leaves any out says where they stand.
            assert tag(whole.plant.label(dangerous[0].valve)) in said.rows[0].valves
            shown = sum(len(row.valves) for row in said.rows)
            assert bool(said.more) is (shown < len(dangerous))


def test_valves_that_do_the_same_share_a_row() -> None:
    said = warned(book("larkstead"), "around-tank")
    assert said is not None and len(said.rows) == 1
    assert said.rows[0].valves == (tag("2"), tag("6"), tag("7"), tag("S"))
    assert said.rows[0].text == f"{tag('TANK')} runs out, with methanol in it."


def test_the_page_of_line_ups_does_not_say_it_twice() -> None:
    assert "One valve left wrong" not in page(made("quillmere"), "page-line-ups").body_html


def test_without_a_rehearsal_the_page_says_so_and_no_table_is_made() -> None:
    bare = replace(book("larkstead"), report=None)
    assert rehearsed(bare) is None
    assert "Nothing was rehearsed" in page(pages(bare, ISSUE)).body_html
    assert all("One valve left wrong" not in one.html_body for one in lineup_cards(bare))


def test_fingerprints_take_in_tables_rows_and_plots() -> None:
    whole = book("larkstead")
    bare = replace(whole, report=None)
    before, after = ([c.fingerprint for c in lineup_cards(b)] for b in (whole, bare))
    dangerous = [bool(warned(whole, line_up)) for line_up in whole.line_ups]
    assert [a != b for a, b in zip(before, after, strict=True)] == dangerous
    changed = {
        a.id
        for a, b in zip(made("larkstead"), pages(bare, ISSUE), strict=True)
        if a.document.fingerprint != b.document.fingerprint
    }
    # The sheets name the pages that print each figure, the rehearsal's among them.
    assert changed == {"page-rehearsal", "page-line-ups", "page-batch", "page-sheets"}


def test_a_day_that_goes_otherwise_changes_its_page_alone() -> None:
    whole = book("larkstead")
    assert whole.report is not None
    *most, last = whole.report.batch
    later = Moment(last.procedure, last.step, replace(last.state, time_s=last.state.time_s + 7200.0))
    other = replace(whole, report=replace(whole.report, batch=(*most, later)))
    changed = {
        a.id
        for a, b in zip(made("larkstead"), pages(other, ISSUE), strict=True)
        if a.document.fingerprint != b.document.fingerprint
    }
    assert changed == {"page-rehearsal"}
