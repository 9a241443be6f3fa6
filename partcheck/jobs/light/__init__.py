"""An LED beside the fitted one, the resistor for equal or wanted light, every known LED ranked for a place."""
