"""What the shop learned from its riders, and what of it is offered to be taken over."""
