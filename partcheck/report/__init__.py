"""From what a job found to text, JSON, CSV, Markdown and HTML pages; nothing here prints.

::

    answers/      one folder per question: record.py (the JSON answer), document.py (what a person is told),
                  sheet.py (a table for a spreadsheet); beside them what several answers say
    schema.py     the schema of all records
    formats.py    the format documents, with format_examples.py and policy_format.py
    render/       a document as text, Markdown, an HTML page or fragment, CSV; knows blocks, never a job
    html/         formulas in MathML, pictures, the frame and the style of a page
    document.py   the blocks of a document; the finding stands first
    record.py     what records are made of: numbers in SI, places, requirements, cures
    lines.py      wrapping, columns and numbers on a screen of 80 columns, for what has no document yet
    pictures.py   the pictures of the README and the guide
"""
