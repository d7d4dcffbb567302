"""How sure a figure is, from the tolerances of what goes into it, and why it is what it is:
formula, terms and sensitivities.
"""
