"""Pictures of the answers as SVG, one module per picture; the words in them stay words.

Colours are names of the page's style (``var(--bad)``), so that one picture serves light and dark; nothing is told by
colour alone: what fails is hatched, what is tight is dotted, lines differ by their dashes, and words stand beside them.
"""
