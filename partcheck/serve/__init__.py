"""The answers in a browser: a small local server for the boards of one folder.

::

    running.py    start the server, say its address, end in one line
    application.py  the application, put together of what stands below
    patience.py   how long a connection may take over the head of a request
    routes/       the pages and what they ask for, a module for each subject
    streamed.py   a page that comes as its work goes on
    process.py    a process that does long work; long.py: what it does; rendered.py: what it hands back
    answers.py    an answer in any form: a page, and files of HTML, Markdown, CSV and JSON
    pages.py      templates, and what every page shows
    faults.py     what cannot be done, as a page or a record
    bench.py      what every request works with
    worker.py     the processes of a server, watched, and ended when nobody waits
    whatif.py     a load with something different about it, judged in a moment
    field.py      the map of a load, over which the mark of the circuit moves
    asked.py      what the address of a board's page holds: board, policy, parts fitted
    cataloguing.py  the answers about the catalog that pages are made of
    peers.py      what parts of a kind usually state, kept while the catalog stays as it is
    searches.py   what was found in the catalog, kept while it stays as it is
    previewing.py  what entering a sheet would do, looked at in the process of long work
    uploads.py    sheets that a browser brought, until they are entered
    writing.py    who writes, and when
    changes.py    what an address says is to be different about a load
    judging.py    the answers about a board that pages are made of
    warm.py       boards kept open between two questions, as long as nothing that they were made of changed
    fitting.py    a board as it would be with other parts fitted
    harmless.py   a fragment of an answer without a style of its own
    guard.py      who may ask: host, origin, key, size; the headers of every response
    keys.py       the key in the address, the cookie, the token of a form
    folder.py     the boards of the folder, and none beside it
    serving.py    what is served and how, as the command was asked

A page is the HTML rendering of the document that the command line shows; nothing is described here a second time.
FastAPI and its kin are known here alone: nothing above imports this package before ``partcheck serve`` is run.
"""
