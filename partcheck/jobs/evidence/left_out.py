"""What the requirements do not count: effects that a formula leaves out, each with the requirements that it concerns.

Questions that a board may answer by stating more stand in ``judge/unjudged.py`` and are told beside these.
"""

from dataclasses import dataclass

from partcheck.requirement import Requirement


@dataclass(frozen=True)
class NotModelled:
    """An effect that is not modelled; ``concerns`` names the requirements by their ids."""

    words: str
    concerns: tuple[str, ...]


LEFT_OUT = (
    NotModelled(
        "ringing of layout inductance on the board itself: only cables, coils and feeds store energy here",
        ("drain-voltage", "collector-voltage", "stray-spike", "stray-current", "reverse-voltage", "standoff",
         "rated-voltage", "clearance", "input-transient"),
    ),
    NotModelled(
        "heat from neighbours beyond the air that the board states, and how copper spreads it",
        ("junction-rise", "pulse-rise", "off-heat", "average-power", "average-current"),
    ),
    NotModelled(
        "ageing and wear: values are those of new parts",
        ("brightness-low", "brightness-high", "brightness-hot", "contact-drop", "avalanche-energy", "pulse-energy",
         "clamp-repeat", "output-capacitor", "output-esr", "least-current"),
    ),
    NotModelled(
        "charge that a neighbour's edge couples into the gate through wires and tracks",
        ("stays-off", "gate-hold"),
    ),
    NotModelled(
        "the drain's capacitance in the time of an edge, which is read from gate charge and resistance",
        ("edge-time", "fastest-edge", "slow-edge", "gate-peak"),
    ),
    NotModelled(
        "saturation of a coil's iron: its inductance is the stated one at every current",
        ("avalanche-energy", "release-time", "pulse-energy", "clamp-repeat", "average-power", "average-current"),
    ),
    NotModelled("distribution of current among poles, wires and strands beyond the stated shares",
            ("pole-current", "return-current", "wire-current")),
    NotModelled("what a start or a pulse of up to 1 s warms a contact beyond its average",
            ("pole-current", "return-current")),
    NotModelled("vias, planes and neighbours of a track", ("track-rise", "fault-current")),
    NotModelled("pollution, coating and altitude", ("clearance",)),
    NotModelled("noise and ripple on a rail beyond its stated limits", ("logic-supply", "output-tolerance", "dropout")),
    NotModelled("regulation against load steps and the start of the output", ("output-tolerance", "output-capacitor")),
    NotModelled("how the eye judges colour and glare beyond the stated intensity and wavelength",
            ("brightness-low", "brightness-high", "brightness-hot", "colour", "viewing-angle", "off-glow")),
    NotModelled("how much more charge a hot diode stores than its recovery time says at 25 °C",
            ("junction-rise", "recovery")),
    NotModelled("inductance of the source itself", ("shorted-load",)),
    NotModelled("a relay's armature and springs: it lets go when its current is at the stated level",
            ("release-time",)),
    NotModelled("how a start falls off: it lasts its whole stated or bounded time at its largest current",
            ("inrush", "pulse-rise")),
)  # fmt: skip


def left_out(requirement: Requirement) -> tuple[str, ...]:
    """What a requirement does not count."""
    return tuple(made.words for made in LEFT_OUT if requirement.id in made.concerns)
