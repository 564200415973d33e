"""Liquids: nothing gets lost in reaction, parting and drawing off; layers leave from the right height."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.rehearsal.liquids import added, drawn, rested
from generator.rehearsal.mix import SUBSTANCES, Mix, Nature, layered, reacted, total
from generator.rehearsal.state import Contents
from tests.rehearsal.conftest import demo

NATURE = Nature(oil_molar_mass=873.6, conversion=0.98, methanol_in_ester=0.42, water_takes=10.0)
MIXES = st.builds(
    lambda kg: Mix(tuple(kg)),
    st.lists(st.floats(0.0, 200.0), min_size=len(SUBSTANCES), max_size=len(SUBSTANCES)),
)


@given(MIXES)
def test_reaction_and_layers_keep_mass_and_make_nothing_negative(mix: Mix) -> None:
    after = reacted(mix, NATURE)
    layers = layered(after, NATURE)
    assert total(layers).total_kg == pytest.approx(mix.total_kg, rel=1e-12, abs=1e-9)
    assert all(kg >= -1e-9 for layer in layers for kg in layer.kg)
    again = reacted(after, NATURE)
    assert again.kg == pytest.approx(after.kg, rel=1e-9, abs=1e-9)


@given(MIXES, st.floats(0.0, 1.0), st.floats(0.0, 0.3))
def test_what_is_drawn_and_what_stays_are_what_was_there(mix: Mix, mouth_m: float, volume_m3: float) -> None:
    tank = demo("quillmere").plant.tanks["settler"]
    before = Contents(layered(mix.share(0.2), NATURE), 40.0)
    kept, out = drawn(before, tank, mouth_m, volume_m3)
    assert (kept.mix + out).kg == pytest.approx(before.mix.kg, rel=1e-12, abs=1e-12)
    assert out.volume_m3(40.0) <= volume_m3 + 1e-12
    heel = tank.shape.volume_at(mouth_m)
    assert kept.volume_m3 >= min(heel, before.volume_m3) - 1e-9


def test_a_batch_gives_the_products_of_its_balance() -> None:
    """180 L of oil with 22 % methanol against the plant's own balance figures (derived elsewhere)."""
    rig = demo("quillmere")
    oil, methanol = rig.figures["oil_mass"].value, rig.figures["methanol_mass"].value
    charge = Mix.of(oil=oil, methanol=methanol, lye=rig.figures["catalyst_usual"].value)
    mix = reacted(charge, rig.model().nature)
    # The balance also counts free acid that turns to soap, so that the two differ by a per cent.
    assert mix["ester"] == pytest.approx(rig.figures["balance_fame"].value, rel=0.02)
    assert mix["glycerol"] == pytest.approx(rig.figures["balance_glycerol"].value, rel=0.02)
    glycerin = layered(mix, rig.model().nature)[0]
    assert glycerin.volume_m3(20.0) == pytest.approx(rig.figures["glycerin_usual"].value, rel=0.1)


def test_the_lower_layer_leaves_first_and_the_upper_follows() -> None:
    tank = demo("quillmere").plant.tanks["settler"]
    water, oil = Mix.of(water=50.0), Mix.of(oil=92.0)
    contents = Contents((water, oil), 20.0)
    kept, out = drawn(contents, tank, 0.0, 0.03)
    assert out["oil"] == 0.0 and out["water"] == pytest.approx(29.95, abs=0.1)
    kept, out = drawn(kept, tank, 0.0, 0.04)
    assert out["water"] == pytest.approx(20.05, abs=0.1) and 15.0 < out["oil"] < 20.0
    side, out = drawn(contents, tank, 0.8, 0.02)
    assert out["water"] == 0.0 and side.layers[0] == water


def test_resting_and_stirring() -> None:
    batch = added(Contents((Mix.of(oil=100.0),), 50.0), Mix.of(methanol=20.0, lye=1.0), 20.0, NATURE)
    assert len(batch.layers) == 1 and 40.0 < batch.temperature_c < 50.0
    assert batch.mix["ester"] > 90.0
    glycerin, ester = rested(batch, NATURE).layers
    assert glycerin["lye"] == 1.0 and ester["glycerol"] == 0.0
    assert ester["methanol"] == pytest.approx(0.42 * batch.mix["methanol"])


def test_acid_layer_floats_and_free_water_sinks() -> None:
    low, top = layered(Mix.of(oil=100.0, methanol=15.0, acid=1.0, water=1.0), NATURE)
    assert low["oil"] == 100.0 and top["acid"] == 1.0
    water, fuel = layered(Mix.of(ester=150.0, water=30.0, methanol=5.0), NATURE)
    assert water["water"] == 30.0 and fuel["ester"] == 150.0
    # Distribution 10: 300 parts of water's pull against 150 of ester's.
    assert fuel["methanol"] == pytest.approx(5.0 / 3.0)
