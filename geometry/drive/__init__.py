"""The drive: length of a chain or belt loop, rings and gears, the sliding slot, where the
axle comes to lie in it, and the checks of all these.
"""
