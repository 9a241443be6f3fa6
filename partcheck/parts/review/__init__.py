"""Is what a part states plausible? Doubts with a reason each; nothing is corrected, and a doubt is no error.

::

    doubts.py      Doubt, and how a rule is declared
    relations.py   what within one datasheet must rise, fall, or stay below something else
    physics.py     what heat, charge and light allow, per kind
    peers.py       slips by a thousand, and values far from those of the same kind
    run.py         review(): all of it

What :mod:`partcheck.parts.checks` refuses (a unit, an impossible range, min above max) never gets here.
"""

from partcheck.parts.review.doubts import Doubt
from partcheck.parts.review.run import review, review_one

__all__ = ["Doubt", "review", "review_one"]
