"""Two people at one catalog: the second is told, and nothing is overwritten that he has not seen."""

from dataclasses import replace

import pytest

from partcheck.catalog import open_catalog
from partcheck.errors import ChangedMeanwhile, UsageError
from partcheck.parts import Part
from partcheck.parts.checks import build
from partcheck.parts.documents import to_record

WHEN = "2024-05-31T12:00:00+00:00"


def mosfet(number: str = "M1", **values: object) -> Part:
    rows = [{"vgs": "10 V", "max": "28 mΩ"}, {"vgs": "4.5 V", "max": "45 mΩ"}]
    return build("mosfet", {"part_number": number, "maker": "Acme", "vds_max": "60 V"} | values, {"rds_on": rows})


def test_the_second_editor_is_told_what_changed_and_nothing_is_overwritten(anywhere: str) -> None:
    with open_catalog(anywhere, create=True) as one, open_catalog(anywhere) as two:
        one.add([mosfet(), mosfet("M2")], "Jo", WHEN)
        read = two.part("M1")
        assert one.change(mosfet(vds_max="55 V"), one.part("M1"), "Jo", WHEN) == (0, 1, 0, 0)
        with pytest.raises(ChangedMeanwhile) as told:
            two.change(mosfet(tj_max="150 °C"), read, "Sam", WHEN)
        assert str(told.value) == (
            f"M1 (Acme) was changed by Jo at {WHEN} since you read it (vds_max); look at it again, then repeat your change"
        )
        assert told.value.details == ("vds_max: you started from 60.0, it is 55.0 now",)
        assert to_record(one.part("M1")) == to_record(mosfet(vds_max="55 V"))
        assert len(one.history("M1")) == 1
        assert two.change(mosfet(vds_max="55 V", tj_max="150 °C"), two.part("M1"), "Sam", WHEN).changed == 1
        assert [(c.column, c.who) for c in one.history("M1")] == [("vds_max", "Jo"), ("tj_max", "Sam")]


def test_a_point_or_a_source_changed_by_another_counts_as_well(anywhere: str) -> None:
    with open_catalog(anywhere, create=True) as catalog:
        catalog.add([mosfet()], "Jo", WHEN)
        read = catalog.part("M1")
        points = build(
            "mosfet", {"part_number": "M1", "maker": "Acme", "vds_max": "60 V"}, {"rds_on": [{"vgs": 10, "max": 1}]}
        )
        catalog.add([points], "Jo", WHEN)
        with pytest.raises(ChangedMeanwhile, match=r"\(rds_on\)"):
            catalog.change(mosfet(tj_max="150 °C"), read, "Sam", WHEN)


def test_a_part_that_came_or_went_meanwhile_is_told(anywhere: str) -> None:
    with open_catalog(anywhere, create=True) as catalog:
        assert catalog.change(mosfet(), None, "Jo", WHEN) == (1, 0, 0, 0)
        with pytest.raises(ChangedMeanwhile, match=r"M1 \(Acme\) is in the catalog by now"):
            catalog.change(mosfet(vds_max="20 V"), None, "Sam", WHEN)
        read = catalog.part("M1")
        other = replace(read, part_number="M3")
        assert catalog.change(other, read, "Jo", WHEN).changed == 1
        assert [c.column for c in catalog.history("M3")] == ["part_number"]
        with pytest.raises(ChangedMeanwhile, match=r"M1 \(Acme\) is no longer in the catalog under that name"):
            catalog.change(mosfet(vds_max="20 V"), read, "Sam", WHEN)
        catalog.add([mosfet("M2")], "Jo", WHEN)
        with pytest.raises(UsageError, match=r"there is a MOSFET M2 \(Acme\) already"):
            catalog.change(replace(other, part_number="M2"), other, "Jo", WHEN)
        assert catalog.change(other, other, "Jo", WHEN) == (0, 0, 1, 0)
        assert to_record(catalog.part("M3")) == to_record(other)
