"""The one recipe of the whole chain: a visit, the studio and its recordings in, findings out.

A check that cannot be used becomes a finding *not measured* with its reason; it never stops the others.
"""

from evenground.assess.book import OpenBlob
from evenground.assess.recipe import assess

__all__ = ["OpenBlob", "assess"]
