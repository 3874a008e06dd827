"""The tables of the app, for Django; whoever uses one imports it from its room."""

from evidence.items.models import Item
from evidence.photographs.models import (
    DerivedImage,
    Photograph,
    PhotographFinding,
    PhotographSeries,
    SeriesPhotograph,
)
from evidence.property.models import PropertyItem
from evidence.specimens.models import Kit, Specimen
from evidence.store.models import OfficeIdentity, StoredFile

__all__ = [
    "DerivedImage", "Item", "Kit", "OfficeIdentity", "Photograph", "PhotographFinding",
    "PhotographSeries", "PropertyItem", "SeriesPhotograph", "Specimen", "StoredFile",
]  # fmt: skip
