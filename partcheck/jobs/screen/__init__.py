"""Every known part against one place at once, and the resistor that may change beside a part."""
