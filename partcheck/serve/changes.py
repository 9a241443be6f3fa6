"""What the address of a page says is to be different about a load: the same changes that the command line takes."""

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import Depends, Query
from starlette.datastructures import FormData

from partcheck.errors import UsageError
from partcheck.jobs.change.options import Asked

NAMES = tuple(name for name in Asked.__dataclass_fields__ if name != "sets")
"""The changes that have a field of their own."""
Text = Annotated[str, Query(max_length=60)]
Count = Annotated[str, Query(max_length=6, pattern=r"^\d*$")]


class LoadChanges:
    """A load, and what is to be different; every value as it was typed."""

    def __init__(self, load: str, typed: dict[str, str], sets: tuple[str, ...], ambient: str) -> None:
        self.load, self.typed = load, {name: text for name, text in typed.items() if text}
        self.own_sets, self.ambient = sets, ambient

    @property
    def sets(self) -> tuple[str, ...]:
        """Other keys, the air among them."""
        return (*self.own_sets, *((f"surroundings.ambient={self.ambient}",) if self.ambient else ()))

    @property
    def key(self) -> tuple[object, ...]:
        """What tells two changes apart."""
        return (self.load, tuple(sorted(self.typed.items())), self.sets)

    @property
    def fields(self) -> dict[str, Any]:
        """The fields of an address, as they were typed."""
        return {"load": self.load, **self.typed, "ambient": self.ambient, "set": list(self.own_sets)}

    @property
    def stated(self) -> dict[str, Any]:
        """The load and the changes as plain data."""
        counts: dict[str, Any] = {name: int(self.typed[name]) for name in ("count", "at_once") if name in self.typed}
        return {"load": self.load, **self.typed, **counts, "sets": self.sets}

    @property
    def asked(self) -> Asked:
        """The changes as a job takes them."""
        stated = self.stated
        del stated["load"]
        return Asked(**stated)


def _changes(
    load: Annotated[str, Query(description="name of a load, such as FV1", max_length=100)] = "",
    voltage: Text = "",
    current: Text = "",
    resistance: Text = "",
    inductance: Text = "",
    count: Count = "",
    at_once: Count = "",
    duty: Text = "",
    frequency: Text = "",
    cable_length: Text = "",
    wire: Text = "",
    ambient: Text = "",
    set_: Annotated[
        list[str] | None, Query(alias="set", description="any other key, such as rail.V12.current=6A; may be repeated")
    ] = None,
) -> LoadChanges:
    typed = {
        "voltage": voltage, "current": current, "resistance": resistance, "inductance": inductance, "count": count,
        "at_once": at_once, "duty": duty, "frequency": frequency, "cable_length": cable_length, "wire": wire,
    }  # fmt: skip
    sets = tuple(text.strip() for text in set_ or () if text.strip())
    return LoadChanges(load.strip(), {name: text.strip() for name, text in typed.items()}, sets, ambient.strip())


def changes_of(form: FormData) -> LoadChanges:
    """The same of a form that is sent."""
    typed = {name: str(form.get(name) or "").strip() for name in NAMES}
    if not all(typed[name].isdecimal() for name in ("count", "at_once") if typed[name]):
        raise UsageError("count and at once are whole numbers; write digits alone")
    sets = tuple(
        text.strip() for each in form.getlist("set") if isinstance(each, str) for text in [each] if text.strip()
    )
    return LoadChanges(str(form.get("load") or "").strip(), typed, sets, str(form.get("ambient") or "").strip())


OfLoad = Annotated[LoadChanges, Depends(_changes)]


def asked_of(stated: Mapping[str, Any]) -> Asked:
    """The changes of a load, as the fields of a page state them."""
    fields = {name: stated.get(name) or None for name in NAMES}
    return Asked(**fields, sets=tuple(stated.get("sets") or ()))
