"""What several families share: the supply and its outlet, platinum sensors, cautions, and short ways to write figures.

May import: the pack contract only.
"""
