"""Which pictures tell how a part behaves in its place."""

from partcheck.jobs.judge.place import Judged
from partcheck.report.html.pictures import heat, turnoff
from partcheck.report.html.pictures.drawing import Drawing
from partcheck.situation import Situation


def behaviour(situation: Situation, judged: Judged) -> list[Drawing]:
    """The pictures of a place: turn-off of a clamped coil, junction temperature of a switch; where all is known."""
    found = [turnoff.drawn(situation, judged), heat.drawn(situation, judged)]
    return [picture for picture in found if picture is not None]
