"""The ways to read a requirement.

::

    trace.py    one part, explained: numbers that remember the formula that made them
    story.py    what lies under such a number: steps, stated values, what is missing or assumed
    explain.py  one place explained with both
    columns.py  every part at once, on NumPy columns
    verdicts.py parts judged on them
    uses.py     what each requirement rests on
"""
