"""Records that cross the service's boundary, and their schemas.

May import: marshmallow.
"""
