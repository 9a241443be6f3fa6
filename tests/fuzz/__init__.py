"""Whatever is given ends with an answer or one sentence: inputs are invented, and put through what reads them.

::

    words.py      numbers, unit texts and names, in range and far out of it
    tables.py     nested data changed anywhere, and written as TOML, JSON, CSV or XLSX
    inputs.py     boards, parts, sheets, workbooks, policies, mappings, options
    targets.py    what each of them is put through, and what is wrong with how that ends
    __main__.py   the long run
    test_fuzz.py  a few of each in an ordinary run, and every input that once showed a fault

``python -m tests.fuzz --minutes 20`` is the long run: each target in a process of its own, guided by the branches that
an input takes where Atheris is installed (``pip install -e ".[fuzz]"``), at random otherwise. It prints each input
that ends otherwise than it may. Such an input goes, made small, into ``FOUND`` of ``test_fuzz.py``.
"""
