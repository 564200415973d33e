"""Issues: what takes a number and what does not, which cards change, what is left when a run dies."""

from __future__ import annotations

import json
import threading
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from markupsafe import Markup

from generator.handbook.book import Issue
from generator.handbook.pages import pages
from generator.problems import FillmarkError
from generator.publish import cards as card_sheets
from generator.publish import files, native
from generator.register import log
from generator.register.approval import Approval
from generator.register.make import Result, Stopped, make_handbook
from generator.register.outputs import Outputs, Quiet
from generator.register.survey import survey
from generator.register.writing import CannotWrite

pytestmark = pytest.mark.usefixtures("plain_pdfs")

FIRST, LATER = date(2030, 4, 2), date(2030, 5, 3)
MUSTER = ("Mailbox at the road", "Oak by the gate")
DOSE = ("methanol: {percent: 22 %", "methanol: {percent: 24 %")
# What stands in the output folder between two runs.
LEFT = [".larkstead.lock", ".larkstead.rendered", "larkstead"]
DANGER = ("high_limit: {label: LIMIT, manual_reset: yes, independent: yes}", "# no high limit")


def change(profile: Path, *swaps: tuple[str, str]) -> None:
    text = profile.read_text(encoding="utf-8")
    for old, new in swaps:
        assert text.count(old) == 1
        text = text.replace(old, new)
    profile.write_text(text, encoding="utf-8")


def issue(profile: Path, **options: Any) -> Result:
    return make_handbook(profile, profile.parent / "build", **{"today": FIRST, **options})


def contents(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def entries(profile: Path) -> list[log.Entry]:
    return log.read(log.folder_of(profile))


def test_the_first_issue_writes_everything_and_takes_number_one(profile: Path) -> None:
    done = issue(profile)
    assert (done.issue.number, done.unchanged, done.missing) == (1, False, ())
    assert done.folder == profile.parent / "build" / "larkstead"
    there = contents(done.folder)
    assert {"site/index.html", "record.json", "manual.pdf", "cards.pdf"} <= set(there)
    data = json.loads(there["record.json"])
    assert data["issue"] == {"number": 1, "date": "2030-04-02", "draft": False}
    assert {document["file"] for document in data["documents"]} <= set(there)
    assert sorted(path.name for path in done.folder.parent.iterdir()) == LEFT
    (entry,) = entries(profile)
    assert entry.number == 1 and set(entry.cards.values()) == {1}
    assert all(len(fingerprint) == 64 for fingerprint in entry.documents.values())
    assert len(done.cards) == len(entry.cards) > 5


def test_an_unchanged_issue_keeps_its_number_date_and_bytes(
    profile: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(issue(profile).folder)
    monkeypatch.chdir(profile.parent)  # nothing may hang on how the profile's path is written
    again = make_handbook(Path(profile.name), Path("build"), today=LATER)
    assert (again.issue.number, again.issue.date, again.unchanged) == (1, "2030-04-02", True)
    assert again.written == () and contents(again.folder) == before
    assert len(entries(profile)) == 1


def test_only_missing_files_are_written_again(profile: Path) -> None:
    folder = issue(profile).folder
    before = contents(folder)
    (folder / "site" / "index.html").unlink()
    (folder / "manual.pdf").unlink()
    (folder / "cards.pdf").write_bytes(b"kept as it is")
    again = issue(profile, today=LATER)
    assert sorted(again.written) == ["manual.pdf", "site/index.html"]
    assert contents(folder) == {**before, "cards.pdf": b"kept as it is"}


def test_a_lost_folder_is_written_again_under_the_same_number(profile: Path) -> None:
    done = issue(profile)
    before = contents(done.folder)
    done.folder.rename(done.folder.with_name("elsewhere"))
    again = issue(profile, today=LATER)
    assert again.unchanged and again.issue.number == 1
    assert contents(done.folder) == before


def test_a_change_raises_the_number_and_only_changed_cards_get_it(profile: Path) -> None:
    issue(profile)
    change(profile, MUSTER)
    done = issue(profile, today=LATER)
    assert (done.issue.number, done.issue.date) == (2, "2030-05-03")
    first, second = entries(profile)
    changed = {name for name, number in second.cards.items() if number == 2}
    assert changed == {n for n in second.cards if first.documents.get(n) != second.documents[n]}
    assert "card-emergency" in changed and 0 < len(changed) < len(second.cards)
    for path in (done.folder / "cards").iterdir():
        name, _, foot = path.read_text().partition(": ")
        assert foot == ("2 of 2030-05-03" if name in changed else "1 of 2030-04-02")
    change(profile, DOSE)
    third = issue(profile, today=LATER)
    assert third.issue.number == 3
    last = entries(profile)[-1]
    assert last.cards["card-emergency"] == 2 and set(last.cards.values()) == {1, 2, 3}


def test_a_number_goes_on_rising_when_a_change_is_taken_back(profile: Path) -> None:
    issue(profile)
    change(profile, MUSTER)
    issue(profile)
    change(profile, MUSTER[::-1])
    assert issue(profile).issue.number == 3


def test_a_draft_says_so_and_takes_no_number(profile: Path) -> None:
    done = issue(profile, draft=True)
    assert done.issue.number is None
    assert not log.folder_of(profile).exists()
    there = contents(done.folder)
    assert json.loads(there["record.json"])["issue"] == {"number": None, "date": "2030-04-02", "draft": True}
    pages = [content for name, content in there.items() if name.endswith(".html")]
    assert pages and all(b"DRAFT" in content for content in pages)
    assert all(b"DRAFT" in content for name, content in there.items() if name.endswith(".pdf"))


def test_an_issue_over_a_draft_replaces_all_of_it(profile: Path) -> None:
    first = contents(issue(profile).folder)
    issue(profile, draft=True)
    again = issue(profile, today=LATER)
    assert again.unchanged and again.issue.number == 1
    assert contents(again.folder) == first


def test_a_finding_that_stops_issues_nothing_but_a_draft(profile: Path) -> None:
    before = contents(issue(profile).folder)
    change(profile, DANGER)
    with pytest.raises(Stopped) as caught:
        issue(profile)
    assert caught.value.exit_code == 1 and caught.value.found.stops >= 1
    assert contents(profile.parent / "build" / "larkstead") == before
    assert len(entries(profile)) == 1
    assert issue(profile, draft=True).issue.draft


class Killed(BaseException):
    """What nothing catches, like a kill."""


@pytest.mark.parametrize("at", [1, -1])
@pytest.mark.parametrize("how", [Killed, OSError])
def test_a_run_that_dies_leaves_the_old_issue_whole(
    at: int, how: type[BaseException], profile: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = issue(profile).folder
    before = contents(folder)
    change(profile, MUSTER)
    count, write = [0], files.write
    dies_at = at if at >= 0 else len(before)

    def write_until(path: Path, content: bytes) -> None:
        if count[0] == dies_at or path.name == log.FILE:
            raise how(28, "No space left on device")
        count[0] += 1
        write(path, content)

    monkeypatch.setattr(files, "write", write_until)
    with pytest.raises(CannotWrite if how is OSError else how):
        issue(profile)
    monkeypatch.undo()
    assert contents(folder) == before and [entry.number for entry in entries(profile)] == [1]
    assert sorted(path.name for path in folder.parent.iterdir()) == LEFT


def test_a_run_killed_between_register_and_folder_is_made_good(
    profile: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = issue(profile).folder
    change(profile, MUSTER)
    append = log.append

    def dies_after(*arguments: Any) -> None:
        append(*arguments)
        raise Killed

    monkeypatch.setattr(log, "append", dies_after)
    with pytest.raises(Killed):
        issue(profile)
    monkeypatch.setattr(log, "append", append)
    # What a kill leaves that nothing could catch: the old folder moved aside, a half-written new one.
    aside, half = folder.parent / ".larkstead.old.x", folder.parent / ".larkstead.new.y"
    aside.mkdir()
    half.mkdir()
    folder.rename(aside / "was")
    done = issue(profile, today=LATER)
    assert done.unchanged and done.issue.number == 2
    assert b"Oak by the gate" in (folder / "site" / "page-emergency.html").read_bytes()
    assert sorted(path.name for path in folder.parent.iterdir()) == LEFT


def test_two_runs_at_once_take_one_number(profile: Path) -> None:
    done: list[Result] = []
    runs = [threading.Thread(target=lambda: done.append(issue(profile))) for _ in range(3)]
    for run in runs:
        run.start()
    for run in runs:
        run.join()
    assert [one.issue.number for one in done] == [1, 1, 1]
    assert sorted(one.unchanged for one in done) == [False, True, True]
    assert len(entries(profile)) == 1


@pytest.mark.usefixtures("no_pango")
def test_without_pdf_libraries_site_and_record_are_written(
    profile: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done = issue(profile)
    assert done.missing == ("pango-1.0",) and done.issue.number == 1
    there = contents(done.folder)
    assert "site/index.html" in there and "record.json" in there
    assert not [name for name in there if name.endswith(".pdf")]
    again = issue(profile)
    assert again.unchanged and again.missing == ("pango-1.0",) and again.written == ()
    monkeypatch.setattr(native, "missing_libraries", lambda *_: [])
    mended = issue(profile, today=LATER)
    assert mended.unchanged and mended.missing == () and mended.issue.number == 1
    assert {"manual.pdf", "cards.pdf"} <= set(mended.written)
    data = json.loads((done.folder / "record.json").read_bytes())
    assert all((done.folder / document["file"]).is_file() for document in data["documents"])


def test_somebody_elses_folder_is_not_replaced(profile: Path) -> None:
    theirs = profile.parent / "build" / "larkstead" / "letters.txt"
    theirs.parent.mkdir(parents=True)
    theirs.write_text("dear")
    for draft in (False, True):
        with pytest.raises(CannotWrite) as caught:
            issue(profile, draft=draft)
        assert [p.code for p in caught.value.problems] == ["not_an_issue_folder"]
    assert theirs.read_text() == "dear" and entries(profile) == []


def test_a_file_where_the_folder_should_be_is_told(profile: Path) -> None:
    (profile.parent / "build").write_text("a file")
    with pytest.raises(CannotWrite) as caught:
        issue(profile)
    assert caught.value.exit_code == 4
    assert [p.code for p in caught.value.problems] == ["cannot_write"]


def test_a_damaged_register_stops_the_issue(profile: Path) -> None:
    before = contents(issue(profile).folder)
    (log.folder_of(profile) / log.FILE).write_text("{}\n")
    change(profile, MUSTER)
    with pytest.raises(FillmarkError) as caught:
        issue(profile)
    assert [p.code for p in caught.value.problems] == ["register_corrupt"]
    assert contents(profile.parent / "build" / "larkstead") == before


def test_a_profile_whose_name_names_no_folder_is_refused(profile: Path) -> None:
    hidden = profile.with_name("...yaml")
    profile.rename(hidden)
    with pytest.raises(FillmarkError) as caught:
        issue(hidden)
    assert [p.code for p in caught.value.problems] == ["folder_unsafe"]


# --- what changed, told by the issue itself


def test_the_second_issue_tells_what_changed_and_keeps_it_beside_the_handbook(profile: Path) -> None:
    assert issue(profile).notice is None
    change(profile, MUSTER)
    done = issue(profile, today=LATER)
    assert done.notice is not None
    assert (done.notice.old, done.notice.new) == ("issue 1 of 2030-04-02", "issue 2 of 2030-05-03")
    (entry,) = entries(profile)[1:]
    new = {name for name, number in entry.cards.items() if number == 2}
    assert {card.id for card in done.notice.up} == new == {card.id for card in done.notice.down}
    assert {card.issue for card in done.notice.up} == {"2"} and {c.issue for c in done.notice.down} == {"1"}
    page = (done.folder / "change-notice.html").read_text()
    assert "Oak by the gate" in page and (done.folder / "change-notice.pdf").is_file()
    (done.folder / "change-notice.html").unlink()
    again = issue(profile, today=LATER)
    assert again.unchanged and "change-notice.html" in again.written and again.notice is None
    assert (done.folder / "change-notice.html").read_text() == page


def test_only_the_cards_to_replace_are_printed_when_asked_for(profile: Path) -> None:
    first = issue(profile, changed_cards=True)
    assert first.changed_cards is not None and len(first.changed_cards.read_text().split("\n")) > 5
    change(profile, MUSTER)
    done = issue(profile, today=LATER, changed_cards=True)
    assert done.changed_cards == done.folder / "cards-changed.pdf"
    lines = done.changed_cards.read_text().split("\n")
    assert len(lines) == len(done.cards) and all(" 2 of 2030-05-03" in line for line in lines)
    again = issue(profile, changed_cards=True)
    assert again.unchanged and again.changed_cards is not None
    assert again.changed_cards.read_text().split("\n") == lines


def test_a_change_that_no_document_prints_is_told_without_a_number(profile: Path) -> None:
    issue(profile)
    change(profile, ("bore: 1.5 in", "bore: 2 in"))
    again = issue(profile)
    assert again.unchanged and again.issue.number == 1 and again.notice is not None
    assert not again.notice.up and any("vent" in text for text in again.notice.checks)
    change(profile, ("bore: 2 in", "bore: 1.5 in"))
    assert issue(profile).notice is None


def test_a_temporary_change_whose_time_is_over_is_told(profile: Path) -> None:
    issue(profile, approval=Approval(until="2030-05-01"))
    assert issue(profile, today=date(2030, 4, 30)).ended is None
    ended = issue(profile, today=LATER).ended
    assert ended is not None and ended.until == "2030-05-01"


def test_cards_that_stay_are_not_laid_out_again(profile: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    issue(profile)
    laid_out: list[str] = []
    fitted, card_pdf = card_sheets.fitted, card_sheets.card_pdf

    def fits(given: Any, *rest: Any) -> Any:
        laid_out.extend(card.id for card in given)
        return fitted(given, *rest)

    def prints(sheet: Any, *rest: Any) -> Any:
        laid_out.append(sheet.card.id)
        return card_pdf(sheet, *rest)

    monkeypatch.setattr(card_sheets, "fitted", fits)
    monkeypatch.setattr(card_sheets, "card_pdf", prints)
    change(profile, MUSTER)
    issue(profile, today=LATER)
    assert sorted(laid_out) == ["card-emergency", "card-emergency"]
    (profile.parent / "build" / ".larkstead.rendered").write_bytes(b"PK damaged")
    change(profile, MUSTER[::-1])
    assert issue(profile, today=LATER).issue.number == 3
    assert len(laid_out) > 20


def test_pages_that_list_the_cards_anew_are_what_rendering_all_gives(
    profile: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def halved(given: Any, *_: Any) -> list[card_sheets.Sheet]:
        parts = [part for card in given for part in (card.split([1]) if len(card.groups) > 1 else [card])]
        return [card_sheets.Sheet(part, "", Markup("")) for part in parts]

    monkeypatch.setattr(card_sheets, "fitted", halved)
    outputs = Outputs(survey(profile).book, Issue(7, "2030-04-02", draft=False), {}, Quiet())
    hung = outputs._hung(outputs.printed_cards)
    assert outputs.pages == pages(outputs.book, outputs.issue, hung) != outputs.unlisted
    listed = next(page.body_html for page in outputs.pages if page.id == "page-cards")
    assert {(card.part, card.parts) for card in hung} == {(1, 1), (1, 2), (2, 2)}
    assert "Methanol, card 1 of 2</th>" in listed and "Methanol, card 2 of 2</th>" in listed
