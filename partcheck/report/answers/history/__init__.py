"""What happened to parts of the catalog, and undo."""
