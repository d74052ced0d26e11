"""Colorimetry of readings: pure functions of arrays, by general-purpose libraries where they do it.

XYZ is CIE 1931, 2 degrees, with Y in cd/m2. Nothing here knows a visit, a run or a sequence.
Heavy libraries are imported inside the functions that use them.
"""
