"""The rider: a body estimated from the little that is known, the linkage made of it, the
posture it takes, the windows a posture should lie in, joints and saddle height.
"""
