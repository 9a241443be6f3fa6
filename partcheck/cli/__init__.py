"""The commands. Each is a plain function that imports what it needs when it runs, so that help is quick.

::

    app.py        the application, what a command returns, arguments and options that several share
    swap.py  explain.py  check.py  brightness.py  vet.py  limits.py  plan.py  records.py  demo.py  formats.py
                  one command (or two that belong together) each
    ask/          ask mosfet, ask led ...: one question, no board file
    catalog/      catalog list, show, add, edit, import, export, find, history, review ...; the form
    changing.py   options that change something about a load
    pages.py      answers that also go into files
    completing.py what a shell offers at Tab
    asking.py  progress.py  codes.py  walk.py
                  yes or no, a progress line, exit codes, the demo's story
"""

from partcheck.cli.app import Answer, app

__all__ = ["Answer", "app"]
