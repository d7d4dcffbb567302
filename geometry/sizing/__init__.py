"""Which size suits a body: how far its posture on every size and cockpit is from the
builder's windows, the chances of each size, and what to measure next.
"""
