"""The use cases, in rooms named by what a user asks; each readable as its own story.

::

    ask/        one question about one part, with no board file
    boards/     the board file itself: begun, listed, looked through, drawn
    fleet/      many boards: which of them a change of a part touches
    decisions/  an accepted substitution, and whether it still stands
    light/      another LED: its light, its current, its resistor
    plan/       the smallest set of changes with which the whole board meets
    missing/    what to look up so that a board is proved
    vet/        a heavier or higher-voltage load
    entry/      entering parts
    swap/       a stand-in for a part
    check/      the board as fitted; one part in one place in full
    remedy/     what would help where something does not meet
    change/     what is asked to change, and the board as changed
    screen/     every known part against one place at once
    sweep/      one circuit quantity varied: boundaries, limits, the map of a channel
    evidence/   what each requirement rests on, and who else says so
    judge/      board, parts and policy read; a place judged; the whole board judged; cautions; what is not judged
"""
