"""Models of the shop: added, renamed, ordered, hidden and retired."""
