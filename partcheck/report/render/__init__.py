"""A document as a screen of text, as Markdown, as an HTML page or fragment, and as CSV.

Each rendering is one module with a function for each block; it knows blocks and never a job. A block that it does not
know raises ``UnknownBlock``: nothing is silently left out.
"""
