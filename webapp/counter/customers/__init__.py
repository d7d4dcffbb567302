"""Customers at the counter: the list, one person's page, joining two entries, all that is held."""
