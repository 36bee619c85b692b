"""The handbook: pages that are written, cited and found."""

from toeroom.handbook.handbook import Handbook
from toeroom.handbook.pages import Page
from toeroom.handbook.search import Hit, SearchResult

__all__ = ["Handbook", "Hit", "Page", "SearchResult"]
