"""Everything agreed with a customer: its form, and what it would come to."""
