"""partcheck: which known parts can stand in on a small low-side driver board, proved in the worst case.

The map, from the top; a module knows only what stands below it::

    cli/            commands: read arguments, do one job, say what to print and the exit code
    serve/          the same answers in a browser
    api/            the same jobs for a notebook
    report/         answers as text, JSON, CSV, Markdown, HTML pages with pictures
    jobs/           swap, brightness, vet, limits, plan, check, explain, records: each readable as its own story
    ranking.py      order of the candidates, and the sentence that says why
    situation/      from a board file to the facts of each place: worst cases, and what sums where
    readings/       the ways to read a requirement: trace, columns
    roles/          what each place demands of its part; one file per role
    board/          the board file: models and located errors
    catalog/        parts in a database
    stock/          many parts as columns
    parts/          a part, and reading parts from CSV and JSON
    requirement.py  the vocabulary: verdict, role, fact, need, quantity, requirement
    physics/        pure formulas, each with source and worked line
    points.py       point tables and the conservative ways to read them
    operations.py   what a formula may use beyond + - * /
    parameters/     every datasheet parameter, declared once
    policy.py       derating policies and their sources
    units/          text to SI number and back
    inputs.py       what may be read at all: ordinary files, TOML of a stated size and depth
    outputs.py      the one rule for every file that is written
    scratch.py      drafts that are gone at the end, also after a kill
    stages.py       what long work is doing now, for whoever waits
    errors.py       everything a user can be told to correct
    __main__.py     the command as a process of its own; shipped.py: folders that the package brings with it

For a notebook: ``from partcheck.api import open_board``.
"""

__version__ = "0.1.0"
