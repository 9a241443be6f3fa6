"""Whether the catalog is sound."""
