"""Options that ask for a change of a load or its rail, the same for every command that takes them."""

from typing import Annotated

import typer

from partcheck.cli import completing

Load = Annotated[
    str,
    typer.Argument(
        metavar="LOAD", help="Name of a load, such as FV1.", show_default=False, autocompletion=completing.loads
    ),
]
Voltage = Annotated[str | None, typer.Option(help="Voltage of the load's rail, such as '24 V'.")]
Current = Annotated[
    str | None, typer.Option(help="Current of one load, such as '0.5 A', at the rail's typical voltage.")
]
Resistance = Annotated[str | None, typer.Option(help="Resistance of one load.")]
Inductance = Annotated[str | None, typer.Option(help="Inductance of one load.")]
Count = Annotated[int | None, typer.Option(help="How many are in parallel on the channel.")]
AtOnce = Annotated[
    int | None, typer.Option("--at-once", help="Largest number of the load's at_once group on together.")
]
Duty = Annotated[str | None, typer.Option(help="Share of the time on, where it is chopped.")]
Frequency = Annotated[str | None, typer.Option(help="Frequency of the chopping.")]
CableLength = Annotated[str | None, typer.Option("--cable-length", help="Length of its cable one way.")]
Wire = Annotated[str | None, typer.Option(help="Cross-section of its cable.")]
Sets = Annotated[
    list[str] | None,
    typer.Option(
        "--set",
        metavar="KEY=VALUE",
        help="Any other key, of the load or from the top: rail.V12.current=6A; may be repeated.",
    ),
]
