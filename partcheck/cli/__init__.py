"""The commands. Each is a plain function that imports what it needs when it runs, so that help is quick.

::

    app.py        the application without its commands, what a command returns, arguments and options that several share
    commands.py   takes in every command below
    swap.py  explain.py  check.py  brightness.py  vet.py  limits.py  plan.py  fleet.py  missing.py  records.py
    demo.py  evidence.py  formats.py  serve.py
                  one command (or two that belong together) each
    board/        board begin, check, from, list, look ...: the board file itself
    ask/          ask mosfet, ask led ...: one question, no board file
    catalog/      catalog list, show, add, edit, import, export, find, history, review ...; the form
    changing.py   options that change something about a load
    answering.py  how an answer leaves a command; pages.py: answers that also go into files
    consoles.py   UTF-8 for data, and letters that the console can show for text
    completing.py what a shell offers at Tab
    asking.py  progress.py  codes.py  walk.py
                  yes or no, a progress line, exit codes, the demo's story
"""

from partcheck.cli import commands
from partcheck.cli.app import Answer, app

__all__ = ["Answer", "app", "commands"]
