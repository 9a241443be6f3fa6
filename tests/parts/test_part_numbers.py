"""Part numbers that differ only in case are two parts, in files as in a catalog; an exact match wins."""

import dataclasses
from pathlib import Path

import pytest

from partcheck.catalog import open_catalog
from partcheck.errors import UsageError
from partcheck.jobs.judge.setup import Parts, Setup, open_setup
from partcheck.parts import Part, read_parts
from tests.command import BOARD, SAMPLES

WHEN = "2025-01-01T00:00:00+00:00"


def mosfet(number: str, volts: float, maker: str = "Acme") -> Part:
    return Part("mosfet", number, maker, {"polarity": "N", "vds_max": volts})


def catalog_of(path: Path, *parts: Part) -> Parts:
    with open_catalog(str(path), create=True) as opened:
        opened.add(parts, "me", WHEN)
    return Parts([], open_catalog(str(path)))


@pytest.fixture(params=["files", "catalog"])
def known(request: pytest.FixtureRequest, tmp_path: Path) -> Parts:
    both = [mosfet("IRX44n", 20.0), mosfet("IRX44N", 60.0), mosfet("solo1", 30.0)]
    return Parts(both) if request.param == "files" else catalog_of(tmp_path / "c.sqlite", *both)


def test_the_number_written_exactly_so_is_meant(known: Parts) -> None:
    for number, volts in (("IRX44n", 20.0), ("IRX44N", 60.0)):
        found = known.find("mosfet", number)
        assert found is not None and found.number("vds_max") == volts
        assert known.find("mosfet", number, "ACME") is not None


def test_one_that_differs_only_in_case_is_taken_and_of_two_none(known: Parts) -> None:
    found = known.find("mosfet", "SOLO1")
    assert found is not None and found.part_number == "solo1"
    with pytest.raises(UsageError, match=r"no irx44n, but .*IRX44.* and .*, which differ only in upper and lower case"):
        known.find("mosfet", "irx44n")
    assert known.find("mosfet", "IRX44") is None


def test_an_exact_match_in_the_catalog_wins_over_another_case_in_files(tmp_path: Path) -> None:
    kept = catalog_of(tmp_path / "c.sqlite", mosfet("irx44n", 20.0), mosfet("other", 12.0))
    parts = Parts([mosfet("IRX44N", 60.0), mosfet("OTHER", 40.0), mosfet("other", 50.0, "ACME")], kept.catalog)
    found = parts.find("mosfet", "irx44n")
    assert found is not None and found.number("vds_max") == 20.0
    found = parts.find("mosfet", "other")
    assert found is not None and found.number("vds_max") == 50.0, "a file wins over the catalog"
    assert sorted(part.number("vds_max") for part in parts.of_kind("mosfet")) == [20.0, 40.0, 50.0, 60.0]


def test_a_board_is_judged_by_the_part_that_it_names_and_not_by_one_in_another_case(tmp_path: Path) -> None:
    """The other one, read first or last, has half the rating; it stands for itself among the stand-ins."""
    (fitted,) = [part for part in read_parts(SAMPLES) if part.part_number == "TALQ-30N52"]
    other = dataclasses.replace(fitted, part_number="talq-30n52", values={**fitted.values, "vds_max": 5.0})
    for given in ([fitted, other], [other, fitted]):
        rest = [part for part in read_parts(SAMPLES) if part is not fitted and part.part_number != "TALQ-30N52"]
        setup: Setup = open_setup(BOARD, given=[*given, *rest])
        part = setup.fitted["Q1"]
        assert part is not None and part.number("vds_max") == 30.0
        assert {"TALQ-30N52", "talq-30n52"} <= set(setup.parts.names("mosfet", "TALQ"))
