"""Orders at the counter: their state, the next steps, the hand-over, what is due."""
