"""Commands on the catalog: enter, import, find, review, keep; the form in which a part is entered."""
