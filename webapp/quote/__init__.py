"""Quotes: a rider asks for one, it is frozen, and from then on never reads or prints otherwise."""
