"""The batch sheet has a row for every use of a heater."""

from __future__ import annotations

import re

from generator.handbook.heater_duties import heater_duties
from generator.operations.steps import plain
from tests.handbook.test_card_sentences import book
from tests.handbook.test_process import text


def test_each_use_of_a_heater_has_its_set_point_and_limit() -> None:
    made, figures = book("quillmere"), book("quillmere").figures
    rows = [(plain(d.heater), plain(d.set_point), plain(d.limit)) for d in heater_duties(made)]
    # By hand: H1 dries, H2 preheats and reacts, H3 drives methanol off behind the condenser.
    assert rows == [
        ("[H1]", figures["drying_set_point"].text, figures["drying_high_limit"].text),
        ("[H2]", figures["preheat"].text, figures["high_limit"].text),
        ("[H2]", figures["reaction_set_point"].text, figures["high_limit"].text),
        ("[H3]", figures["strip_set_point"].text, figures["strip_high_limit"].text),
    ]
    numbers = {procedure.number for procedure in made.procedures}
    assert all(plain(duty.job).split()[0] in numbers for duty in heater_duties(made))


def test_every_amount_to_write_down_stands_beside_one_with_its_unit() -> None:
    sheet = text("larkstead", "page-batch-sheet")
    assert "Temperature of the oil reckoned with: 68 °F" in sheet
    assert re.search(r"Water drained at most 0\.5\d? gal", sheet)
    assert "Level and temperature after methoxide 30 3/8 in , 122 °F" in sheet
