"""What every number is called, what it means, its unit, formula and source: inputs,
results, and what checks compute; and which terms each formula is made of.
"""
