"""Quotes: a rider asks for one, it is frozen, and reads and prints the same ever after."""
