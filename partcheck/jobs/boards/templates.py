"""Boards to start from: what stands in them is an example, and marked as such."""

from partcheck.jobs.boards.channels import Channel
from partcheck.jobs.boards.start import Begun, BoardStart, begun

EXAMPLE = "assumed: an example, write yours"
VALVE = {
    "sort": "valve", "voltage": "12 V ±5 %", "resistance": "36 Ω ±8 %", "inductance": "60 mH ±20 %", "rate": "1 /s",
    "cable_length": "3 m", "wire": "0.75 mm²", "resistor": "470 Ω ±5 %", "hold_off": "100 kΩ ±5 %",
}  # fmt: skip
SIGNAL = {
    "sort": "logic-input", "voltage": "24 V ±10 %", "current": "2.5..7 mA", "switch_kind": "npn",
    "resistor": "4.7 kΩ ±5 %", "hold_off": "47 kΩ ±5 %",
}  # fmt: skip
LAMP = {"indicator_resistor": "2.7 kΩ ±5 %"}
TEMPLATES = {
    "mosfet-channel": "a valve on a MOSFET with its clamp and an indicator LED beside it",
    "npn-channel": "an input of another device on an NPN",
    "sixteen-channel-driver": "sixteen valves, each on a MOSFET with its clamp and an indicator LED",
    "indicator-panel": "eight LEDs on eight outputs, and one on the supply",
}
"""What can be started from, and what each is."""


def template(name: str, title: str, parts: list[str]) -> Begun:
    """The board of a template; a part stands nowhere, so that `swap` or a look into the catalog finds one."""
    start = BoardStart(title, parts)
    if name == "indicator-panel":
        start.supplies = {"V5": {"voltage": "5 V ±5 %"}}
        start.panel = [{"resistor": "1 kΩ ±5 %", "drive": f"LED{n}", "assumed": EXAMPLE} for n in range(1, 9)]
        start.panel.append({"resistor": "1 kΩ ±5 %", "rail": "V5", "assumed": EXAMPLE})
        made = begun(start, [])
        made.comments["rail", "V5", "voltage"] = EXAMPLE
        return made
    count = 16 if name == "sixteen-channel-driver" else 1
    values = SIGNAL | {"load": "READY"} if name == "npn-channel" else VALVE | LAMP | {"load": "VALVE"}
    channels = []
    for n in range(1, count + 1):
        channel = Channel()
        for key, text in values.items():
            channel.put(key, f"{text}{n}" if key == "load" else text)
        channel.complete()
        channel.assumed |= dict.fromkeys(("resistance", "inductance", "rate", "current", "cable_length"), EXAMPLE)
        channel.assumed |= dict.fromkeys(("resistor", "hold_off", "indicator_resistor", "voltage"), EXAMPLE)
        if name != "npn-channel":
            channel.values |= {"clamp": "?", "indicator": "?"}
        channels.append(channel)
    made = begun(start, channels)
    for role in made.data["role"].values():
        if role.get("fitted") == "?":  # a place with no part yet
            del role["fitted"]
    return made
