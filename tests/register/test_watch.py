"""Watching: the draft follows what is saved, findings stand on top, only this machine is answered."""

from __future__ import annotations

import http.client
import json
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from generator.problems import FillmarkError
from generator.register import log, watch, watched
from generator.register.watched import Draft, Watched


class Served:
    """A watch that runs in a thread, and what it has told."""

    def __init__(self, profile: Path) -> None:
        self.address = ""
        self.drafts: list[Draft] = []
        self.going = True
        self._ready, self._new = threading.Event(), threading.Event()
        self.thread = threading.Thread(
            target=watch.watch, args=(profile, 0, self._started, self._renewed, lambda: self.going)
        )
        self.thread.start()
        assert self._ready.wait(60)

    def _started(self, address: str) -> None:
        self.address = address.removeprefix("http://").rstrip("/")
        self._ready.set()

    def _renewed(self, draft: Draft) -> None:
        self.drafts.append(draft)
        self._new.set()

    def next_draft(self) -> Draft:
        assert self._new.wait(60)
        self._new.clear()
        return self.drafts[-1]

    def get(self, path: str, host: str | None = None, method: str = "GET") -> tuple[int, str, str]:
        connection = http.client.HTTPConnection(self.address, timeout=20)
        connection.request(method, path, headers={"Host": host or self.address})
        answer = connection.getresponse()
        body = answer.read().decode("utf-8", errors="replace")
        return answer.status, body, answer.headers.get("Content-Security-Policy", "")


@pytest.fixture
def served(profile: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    monkeypatch.setattr(watch, "LOOK_EVERY_S", 0.02)
    made = Served(profile)
    yield made
    made.going = False
    made.thread.join(60)
    assert not made.thread.is_alive()


def test_the_open_page_follows_what_is_saved_and_nothing_is_issued(served: Served, profile: Path) -> None:
    before = sorted(profile.parent.iterdir())
    assert served.next_draft().version == 1
    status, page, policy = served.get("/")
    assert status == 200 and "DRAFT" in page and '<script src="-/watch.js" defer>' in page
    assert "default-src 'self'" in policy
    assert page.index('class="watch"') < page.index('<main id="text"')
    assert json.loads(served.get("/-/now")[1]) == {"version": 1}
    assert "fetch(" in served.get("/-/watch.js")[1]
    text = profile.read_text()
    profile.write_text(text.replace("Mailbox at the road", "Oak by the gate"))
    assert served.next_draft().version == 2
    assert "Oak by the gate" in served.get("/page-emergency.html")[1]
    assert json.loads(served.get("/-/now")[1]) == {"version": 2}
    # A profile that cannot be used: the pages stay, and what is wrong stands on top of them.
    profile.write_text(text.replace("flow: 6 gpm", "flow: -6 gpm"))
    told = served.next_draft().told
    assert told and told[0].where.startswith("larkstead.yaml:")
    page = served.get("/page-emergency.html")[1]
    assert "CANNOT BE USED" in page and "Oak by the gate" in page
    profile.write_text(text)
    assert served.next_draft().version == 4
    assert "Mailbox at the road" in served.get("/page-emergency.html")[1]
    assert not log.folder_of(profile).exists() and sorted(profile.parent.iterdir()) == before


@pytest.mark.parametrize("path", ["/../larkstead.yaml", "/%2e%2e/larkstead.yaml", "//etc/passwd", "/x.html"])
def test_nothing_but_the_draft_is_served(path: str, served: Served) -> None:
    assert served.get(path)[:2] == (404, "")


def test_only_this_machine_by_its_own_name_is_answered(served: Served) -> None:
    port = served.address.rpartition(":")[2]
    assert served.address.startswith("127.0.0.1:")
    assert served.get("/", host="evil.example")[:2] == (403, "")
    assert served.get("/", host=f"localhost:{port}")[0] == 200
    assert served.get("/", method="POST")[0] == 501


def test_a_port_that_is_taken_is_told(served: Served, profile: Path) -> None:
    port = int(served.address.rpartition(":")[2])
    with pytest.raises(FillmarkError) as caught:
        watch.watch(profile, port, lambda _: None, lambda _: None, lambda: False)
    assert caught.value.problems[0].code == "port_taken"


def test_words_that_were_saved_are_read_again(profile: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    forgotten: list[int] = []
    monkeypatch.setattr(watched, "_forget", lambda: forgotten.append(1))
    stamps, times = watched._stamps, iter(range(100))
    monkeypatch.setattr(
        watched, "_stamps", lambda paths: (*stamps(list(paths)), ("x", next(times) // 3 % 2, 0))
    )
    watching = Watched(profile)
    assert watching.look()
    watching.look()
    assert forgotten == [1]


def test_a_profile_that_could_never_be_used_has_a_page_all_the_same(profile: Path) -> None:
    profile.write_text("name: [")
    watching = Watched(profile)
    assert watching.look() and not watching.look()
    page = watching.draft.files["index.html"].decode()
    assert "CANNOT BE USED" in page and "larkstead.yaml" in page and "watch.js" in page


def test_what_was_read_from_content_is_let_go_of() -> None:
    from generator.figures.record import kinds

    first = kinds()
    assert kinds() is first
    watched._forget()
    assert kinds() is not first and kinds() == first
