"""What an HTML page needs beside its blocks: formulas set in MathML, pictures, the frame and the style.

::

    mathml.py     formulas set from the trace
    pictures/     one module per picture
    templates/    the frame of a page, and its style

``render/html.py`` makes the page from a document. A page needs no script, no request and no font from elsewhere.
"""
