"""Every known LED for a place."""
