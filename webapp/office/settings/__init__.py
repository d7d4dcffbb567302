"""Settings of the shop, riding styles and trade names, each with a preview."""
