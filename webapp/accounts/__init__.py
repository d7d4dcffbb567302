"""Accounts of the shop: who may work at the counter and in the drawing office."""
