"""Methanol vapour over what a batch holds: when a closed headspace over it can explode, when it boils."""

from __future__ import annotations

from generator.chemistry import headspace
from generator.figures.basis import Basis, Inputs, clamped_c
from generator.figures.products import usual


def add(basis: Basis) -> None:
    """Over methanol at the usual temperature, over the ester layer, over the glycerin layer."""
    book, pressure = basis.book, basis.book["site_pressure"]
    usual_c = clamped_c(basis.site.ambient.usual_c, 0.0, 60.0)
    share = headspace.saturated_vapour_fraction(usual_c, pressure.value)
    book.add("vapour_over_methanol", share, "fraction", {"T_a": (usual_c, "temperature"), "P": pressure})
    ester = book["ester_methanol"]
    if 0.002 <= ester.value <= 0.05:
        at_sea_c = headspace.ester_headspace_explosive_c(ester.value)
        _from(basis, "ester_explosive_from", at_sea_c, {"w_0": ester, "P": pressure})
    glycerin_fraction = usual(basis).methanol_fraction_of_glycerin_layer
    if 0.02 <= glycerin_fraction <= 0.40:
        held: Inputs = {"w_G": (glycerin_fraction, "mass_fraction")}
        at_sea_c = headspace.glycerin_headspace_explosive_c(glycerin_fraction)
        _from(basis, "glycerin_explosive_from", at_sea_c, held | {"P": pressure})
        boils = headspace.glycerin_boiling_c(glycerin_fraction)
        book.add("glycerin_boils", boils, "temperature", held)


def _from(basis: Basis, kind: str, at_sea_level_c: float, inputs: Inputs) -> None:
    pressure_pa = basis.value("site_pressure")
    if pressure_pa >= headspace.LEAST_PRESSURE_PA:
        here = headspace.explosive_at_site_c(at_sea_level_c, pressure_pa)
        basis.book.add(kind, here, "temperature", inputs)
