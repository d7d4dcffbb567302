"""Every size with every fork, wheel pair, axle position and state in one call, figure for
figure the same as one build at a time.
"""
