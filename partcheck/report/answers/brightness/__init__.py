"""An LED beside the fitted one."""
