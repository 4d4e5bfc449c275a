"""The trait check: readings of one find against what published sources document. Pure: no Django, no clock."""
