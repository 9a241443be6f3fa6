"""Answers as one self-contained HTML file each, made from the same findings as the text and the JSON.

::

    page.py       the frame: templates with autoescape, numbers as <data> with their JSON value, pictures, budget
    mathml.py     formulas set from the trace
    <job>.py      what the page of a job shows; templates/<job>.html how
    pictures/     one module per picture

A page needs no script, no request and no font from elsewhere; its style stands in ``templates/style.css``.
"""
