"""What the fit says, in whole sentences: the advice, and how sure it is."""
