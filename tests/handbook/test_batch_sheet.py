"""The batch sheet has a row for every use of a heater, the schedule says what may overlap."""

from __future__ import annotations

from generator.handbook.heater_duties import heater_duties
from generator.handbook.together import together
from generator.operations.steps import plain
from tests.handbook.test_card_sentences import book


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


def test_stages_that_share_a_vessel_or_a_pump_take_turns() -> None:
    rows = {plain(pair): plain(answer) for pair, answer in together(book("quillmere")).rows}
    assert len(rows) == 6  # dry, react, settle, strip, two at a time
    assert "[P1]" in rows["drying in [T1], reaction in [R1]"]
    assert rows["drying in [T1], methanol removal in [F1]"] == "Yes: they share no pump."
    assert "[P2]" in rows["settling in [S1], methanol removal in [F1]"]
    assert together(book("larkstead")).rows == ()
