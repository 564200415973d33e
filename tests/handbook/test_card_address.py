"""Each card leads to its own page where the handbook is hosted; nothing stands there where it is not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from generator.handbook.cards import cards
from generator.handbook.pages import pages
from tests.handbook.stub import ISSUE, book

HOSTED = "https://quillmere.example/handbook/"


def test_every_card_leads_to_a_page_that_is_there() -> None:
    made = book("quillmere")
    files = {page.file: page for page in pages(made, ISSUE)}
    for card in cards(made):
        file, _, anchor = card.address.removeprefix(HOSTED).partition("#")
        assert card.address.startswith(HOSTED) and file in files, card.id
        assert not anchor or f'id="{anchor}"' in files[file].body_html, card.id


@pytest.mark.parametrize("name", ["larkstead"])
def test_a_handbook_that_is_not_hosted_has_no_code(name: str) -> None:
    assert not [card.id for card in cards(book(name)) if card.address]


def test_another_address_is_another_card() -> None:
    card = cards(book("quillmere"))[0]
    assert replace(card, address="https://elsewhere.example").fingerprint != card.fingerprint
