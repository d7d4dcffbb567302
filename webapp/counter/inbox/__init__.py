"""What waits, for the shop and for its customers, and the letters that remind them."""
