"""One question about one part, with no board file: a real board is written from the answers and judged."""
