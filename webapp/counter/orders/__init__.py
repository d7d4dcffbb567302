"""The shop's side of orders: what stands, what can be done next, the hand-over, what is due."""
