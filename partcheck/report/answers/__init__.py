"""The answers, one folder per question that a user asks.

::

    swap/  check/  explain/  vet/  limits/  brightness/  leds/  plan/  fleet/  decisions/
                  record.py, document.py, and sheet.py where there is a table for a spreadsheet
    ask/  missing/  with no board file; what to look up
    boards/       of the board file itself
    evidence/     what each requirement rests on
    parts/  find/  history/  importing/  review/  verify/
                  of the catalog, the same; parts has no record
    heads.py      how an answer opens: the verdict, and what to do first
    common.py     what several answers say: what is asked, places worst first, what is not proved, cautions, the policy
    catalogued.py what all answers of the catalog have
    drawn.py      pictures as blocks, drawn only where a page is wanted
    remedied.py   cures and lookups in words
    causes.py     what is not proved, each missing value once; alike.py: names that differ in a number alone
    phrases.py    what a requirement needs and has, rounded to the safe side

``document(found, pictures, made_on)`` and ``record(found)`` each take what the job of that question returned.
"""
