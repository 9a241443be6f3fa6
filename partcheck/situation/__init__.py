"""From the board file to the facts of each place: worst-case numbers, and what sums where.

The map, from the top; imports point down::

    swept.py         a board under many circuit values at once
    enclosure.py     the air inside an enclosure; heats.py: what heats it
    situation.py     the board with fitted parts and policy
    places.py        which class makes the facts of which role
    npn.py           beside what every low-side switch has
    clamp.py  conductor.py  indicator.py  path_ends.py  regulator.py  supply.py  switch.py  terminal.py
                     the facts of one role each
    clearance.py     how high voltages stand, and the gaps they ask for
    crossfeed.py     what flows from one feed into another while a switch is off
    shorts.py        a shorted load until the fuse acts
    current_path.py  the path of a load's current, link by link; its drops
    release.py       what must let go once its switch opens; slow_gate.py: a gate behind a large resistance
    undriven.py      what holds a switch off while nothing drives it
    stores.py        what inductances do when a current is switched off; recovery.py: the charge of a diode
    copper.py        resistance of hot cables and tracks; brief.py: a start through wire or track
    paths.py         current through wire, track and pole
    sums.py          what sums where: rails, regulators, chips, returns
    profiles.py      what a load draws over time
    loads.py         what a load draws: worst, typical, least
    capacitive.py    the start of an input capacitor; holding.py: what a chopped coil holds
    chopping.py      how a load is chopped; cold_copper.py: the least resistance of a cable
    nodes.py         what hangs on each switched node, and how high it stands
    facts.py         facts of one place, made when they are first asked for
    bounds.py        what the circuit alone proves of a part; many.py: choosing among numbers that may be one or many
    drives.py        the high level of a drive as the supply of its chip lets it be
    memory.py        each value made once, and what it rests on
"""

from partcheck.situation.situation import Situation

__all__ = ["Situation"]
