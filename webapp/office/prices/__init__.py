"""Price lists and the prices in them."""
