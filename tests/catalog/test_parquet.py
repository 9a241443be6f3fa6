"""A Parquet data set says what the catalog said that it was written of, and what cannot be one is told."""

from pathlib import Path

import pytest

from partcheck.catalog import open_catalog, parquet
from partcheck.catalog.parquet import ParquetParts, write_parquet
from partcheck.errors import CatalogError
from partcheck.jobs.judge.setup import open_setup
from partcheck.parameters import KINDS
from partcheck.parts import Part, read_parts
from partcheck.parts.documents import to_record
from partcheck.stock.stock import Listed
from tests.catalog.test_snapshot import everything
from tests.command import BOARD, SAMPLES


@pytest.fixture(scope="module")
def parts() -> list[Part]:
    return read_parts(SAMPLES)


@pytest.fixture
def written(parts: list[Part], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The samples as a data set of many small files."""
    monkeypatch.setattr(parquet, "A_FILE", 10)
    monkeypatch.setattr(parquet, "A_GROUP", 5)
    with open_catalog(tmp_path / "parts.sqlite", create=True) as catalog:
        catalog.add(parts, "test", "2026-01-01")
        assert write_parquet(catalog, tmp_path / "parts.parquet") == len(parts)
    return tmp_path / "parts.parquet"


def test_every_part_and_every_column_comes_back(parts: list[Part], written: Path) -> None:
    kept = ParquetParts(written)
    assert len(list((written / "mosfet").iterdir())) > 2
    for kind in KINDS:
        mine = [part for part in parts if part.kind == kind]
        assert [to_record(part) for part in kept.parts(kind)] == [to_record(part) for part in mine]
        assert everything(kept.stock(kind)) == everything(Listed(kind, mine))
        assert kept.stock(kind).places_of(mine[1:3]) == [1, 2]


def test_a_part_is_found_by_its_number_in_any_case(parts: list[Part], written: Path) -> None:
    part = next(part for part in parts if part.kind == "led")
    kept = ParquetParts(written)
    assert [p.key for p in kept.named("led", part.part_number.lower())] == [part.key]
    assert kept.named("led", part.part_number, "nobody") == [] == kept.named("mosfet", part.part_number)


def test_what_cannot_be_a_data_set_is_told(written: Path, tmp_path: Path) -> None:
    (tmp_path / "empty.parquet").mkdir()
    with pytest.raises(CatalogError, match=r"empty\.parquet has no parts"):
        open_setup(BOARD, [SAMPLES], str(tmp_path / "empty.parquet"))
    file = min((written / "led").iterdir())
    file.write_bytes(file.read_bytes()[:-10])
    with pytest.raises(CatalogError, match=r"0000\.parquet cannot be read as Parquet"):
        ParquetParts(written).stock("led")
    file.write_bytes(min((written / "mosfet").iterdir()).read_bytes())
    with pytest.raises(CatalogError, match="is not a data set of this version"):
        ParquetParts(written).stock("led")
