"""The driver: each manoeuvre a generator that moves the controls and yields once a step.

He sees the tachometer and his own foot, and on a braked dyno tells the brake what to do. He writes
the truth about pulls as he makes them.
"""
