"""What is agreed on top of the price list, and the sums that follow."""
