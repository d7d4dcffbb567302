"""The inbox: quotes and orders that wait for the shop or for a customer, and reminders."""
