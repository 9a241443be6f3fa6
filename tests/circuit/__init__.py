"""An independent reference: whole boards simulated, and their verdicts held against what happens.

Nothing here knows how the program judges. The board model and the parts' stated values are read with ``partcheck.board``
and ``partcheck.parts``; verdicts come from one module, which runs the public job.

======================  ==================================================================================
module                  what
======================  ==================================================================================
``stock``, ``boards``   parts and boards drawn at random, written as board files
``draws``               points inside the corners: columns of numbers between 0 and 1
``devices``             true diodes, LEDs, Zeners and MOSFETs inside a datasheet
``transistor``          a true NPN inside a datasheet
``network``             Kirchhoff's law for elements whose current rises with their voltage, many points at once
``wiring``              a board in one state as such a network
``solver``              states until voltages, heat and supplies agree; the opening of switches; release
``heat``, ``copper``    junctions, wires and poles over time: starts, stalls, chopping
``strays``              cables alone, when a switch opens
``violations``          what must never happen to a place told meets or tight
``measure``, ``offs``   one such thing and who answers for it; those of switches that are off or open
``verdicts``            what the program says (the only module that runs it)
``search``              points sought by a climb inside the corners; a board that shows a violation made small
``found``               small boards that once showed one, with what they showed; tried in every run
======================  ==================================================================================

``PARTCHECK_BOARDS=5000 pytest tests/circuit --dist load`` tries that many boards, with more points and a longer search:
some two seconds each on one core.
"""
