"""Measures the ears: synthetic inspectors speak in noise, and what was understood is counted."""
