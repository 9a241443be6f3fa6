"""May a heavier or higher-voltage load be connected: its path link by link, what gives way first, other clamps."""
