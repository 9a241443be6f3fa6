"""What an import did, or would do."""
