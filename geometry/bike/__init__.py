"""The bike itself: frame as drawn, fork and wheels, the bike standing on the ground, its
trail, cockpit, saddle and standover, its loaded states, and all its figures at once.
"""
