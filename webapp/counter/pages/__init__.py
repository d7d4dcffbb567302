"""Addresses of the counter, a module for each step of its work."""
