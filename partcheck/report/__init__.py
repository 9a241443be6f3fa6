"""From what a job found to text, JSON, CSV, Markdown and HTML pages; nothing here prints.

::

    document.py   what a person is told, as blocks; the finding stands first
    answers/      one module per question: its document; common.py, heads.py and phrases.py have what several say
    render/       a document as text, Markdown, an HTML page or fragment, CSV; knows blocks, never a job
    records/      one module per question: its record, the JSON answer
    html/         formulas in MathML, pictures, the frame and the style of a page
    lines.py      wrapping, columns and numbers on a screen of 80 columns, for what has no document yet
    remedied.py   cures and lookups in words; brightness_words.py sentences about light
    ranking.py  leds_sheet.py  limits_sheet.py  accepted_sheet.py
                  tables for a spreadsheet
    found.py  history.py  imported.py  reviewed.py  verified.py
                  answers about the catalog and about decisions, as text
    formats.py    the format documents; pictures.py the pictures of the README and the guide
"""
