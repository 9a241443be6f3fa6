"""What the tests know of each requirement, written down for ``partcheck evidence``.

::

    published.py   the published numbers of tests/published, and the physics that each runs through
    behind.py      the formula of each requirement, and the physics that it and its facts run through
    simulated.py   boards of tests/circuit: how near a place that is told meets comes to what is allowed
    record.py      writes partcheck/formats/evidence.json

``python -m tests.evidence.record`` writes it anew and keeps what was simulated; with a number of boards it simulates those,
too (some two seconds each), and with a second number for so many minutes at most. ``python -m partcheck.report.formats`` then writes ``partcheck/formats/evidence.md``.
"""
