"""A part as one form: what is sent back as it was shown is the very same part, and what is typed is read as on a terminal."""

import pytest

from partcheck.jobs.entry.merging import MergedValue, merged
from partcheck.jobs.entry.sheet_form import fill, groups, texts
from partcheck.parameters import KINDS
from partcheck.parts.documents import to_record
from partcheck.parts.entry import Entry
from tests.command import sample_parts

PARTS = sample_parts()


def test_what_is_sent_back_as_shown_is_the_same_to_the_last_digit() -> None:
    for part in PARTS:
        made, slips = fill(Entry.of(part), texts(Entry.of(part)))
        assert not slips and made is not None and to_record(made) == to_record(part), part.name


def test_what_is_shown_can_be_typed_anew() -> None:
    """In an empty form, where nothing stands behind the fields: to the digits that are shown."""
    for part in PARTS[::9]:
        shown = texts(Entry.of(part))
        made, slips = fill(Entry(part.kind), shown)
        assert not slips and made is not None, (part.name, slips)
        assert texts(Entry.of(made)) == shown


@pytest.mark.parametrize("kind", KINDS)
def test_every_value_and_table_has_one_field(kind: str) -> None:
    fields = [each.name for group in groups(Entry(kind)) for asked in group.questions for each in asked.fields]
    assert sorted(fields) == sorted([*KINDS[kind].columns(), *(table.name for table in KINDS[kind].tables)])


def test_package_and_pin_order_offer_what_known_parts_state() -> None:
    known = [part for part in PARTS if part.kind == "mosfet"]
    asked = [question for group in groups(Entry("mosfet"), {"package": "dpak"}, known) for question in group.questions]
    offered = {each.name: each.known for question in asked for each in question.fields if each.known}
    assert set(offered) == {"package", "pin_order"} and offered["pin_order"] == ("G-D-S",)
    assert "SOT-23" in offered["package"]


def test_what_cannot_stand_is_told_at_its_field() -> None:
    typed = {
        "part_number": "X",
        "maker": "A",
        "vgs_th_min": "3 V",
        "vgs_th_max": "2 V",
        "rds_on": "4.5 V; 1 A; -; 20 V\nx",
    }
    part, slips = fill(Entry("mosfet"), typed)
    assert part is None and set(slips) == {"vgs_th_min", "rds_on"}
    assert slips["rds_on"][0].startswith("line 2: ") and "row 1, max" in slips["rds_on"][1]


def test_a_cleared_field_is_not_stated_and_loses_its_source() -> None:
    part = next(each for each in PARTS if "vds_max" in each.provenance)
    made, slips = fill(Entry.of(part), texts(Entry.of(part)) | {"vds_max": ""})
    assert not slips and made is not None and "vds_max" not in made.values and "vds_max" not in made.provenance


@pytest.mark.parametrize(("mine_stands", "price"), [(True, 2), (False, 3)])
def test_two_changes_of_one_record(mine_stands: bool, price: int) -> None:
    base = {"price": 1, "notes": "a", "status": "active", "provenance": {"price": {"page": "1"}}}
    mine = base | {"price": 2, "notes": "b", "provenance": {"price": {"page": "2"}}}
    theirs = base | {"price": 3, "status": "obsolete", "provenance": {"price": {"page": "3"}}}
    asked: list[str] = []

    def choose(value: MergedValue) -> bool:
        asked.extend([value.column] if value.contested else [])
        return mine_stands

    made = merged("mosfet", base, mine, theirs, choose)
    assert (made["price"], made["notes"], made["status"]) == (price, "b", "obsolete")
    assert made["provenance"]["price"] == {"page": str(price)} and asked[0] == "price"
