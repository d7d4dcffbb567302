"""The counter: the shop's inbox, search, and everything done to a quote by its people."""
