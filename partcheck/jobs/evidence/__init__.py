"""What each requirement rests on: declarations, published checks, the simulated circuit, what is not modelled.

::

    evidence.py   the requirements asked about, each with all that speaks for it
    recorded.py   what the tests recorded, as the package ships it
    left_out.py   what no requirement of a kind counts
"""
