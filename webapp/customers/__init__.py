"""Customers as people: how they are reached, what they agreed to, and that they are one person."""
