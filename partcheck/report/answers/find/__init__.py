"""Parts found in the catalog."""
