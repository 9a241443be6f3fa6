"""Parts of the catalog: all of them in a list, one of them in full."""
