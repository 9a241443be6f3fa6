"""What the address of a page says is to be different about a load: the same changes that the command line takes."""

from typing import Annotated, Any

from fastapi import Depends, Query

from partcheck.jobs.change.options import Asked

Text = Annotated[str, Query(max_length=60)]
Count = Annotated[str, Query(max_length=6, pattern=r"^\d*$")]


class LoadChanges:
    """A load, and what is to be different; every value as it was typed."""

    def __init__(self, load: str, typed: dict[str, str], sets: tuple[str, ...]) -> None:
        self.load, self.typed, self.sets = load, {name: text for name, text in typed.items() if text}, sets

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
        list[str] | None, Query(alias="set", description="any other key, as rail.V12.current=6A; may repeat")
    ] = None,
) -> LoadChanges:
    typed = {
        "voltage": voltage, "current": current, "resistance": resistance, "inductance": inductance, "count": count,
        "at_once": at_once, "duty": duty, "frequency": frequency, "cable_length": cable_length, "wire": wire,
    }  # fmt: skip
    sets = [text.strip() for text in set_ or () if text.strip()]
    if ambient.strip():
        sets.append(f"surroundings.ambient={ambient.strip()}")
    return LoadChanges(load.strip(), {name: text.strip() for name, text in typed.items()}, tuple(sets))


OfLoad = Annotated[LoadChanges, Depends(_changes)]
