"""``partcheck ask``: one question about one part, with no board file."""
