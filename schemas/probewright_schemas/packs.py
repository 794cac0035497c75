"""The schemas of what was loaded: ``GET /v1/families`` and ``GET /v1/packs``."""

from __future__ import annotations

from probewright_schemas.base import RecordSchema
from probewright_schemas.fields import Choice, Flag
from probewright_schemas.results import array, texts, words


class LayerSchema(RecordSchema):
    """What lies over a pack's own numbers."""

    record = dict
    layer = words("Its name, which stands beside each number that it sets.", "north_street")
    from_ = Choice(
        "What it is from.", ("overlay_pack", "shop_file"), example="shop_file", required=True, data_key="from"
    )
    entry_point = words("Of an overlay pack, the entry point's name.", "north_street", required=False)
    distribution = words("Of an overlay pack, the installed distribution.", "north-street-numbers", required=False)
    version = words("Of an overlay pack, the distribution's version.", "3.0", required=False)


class LaidLayerSchema(LayerSchema):
    """A layer, and the families that it lies over."""

    families = texts("The families, sorted by id.", "gas_range")


class FamilySummarySchema(RecordSchema):
    """A family that cases may be about."""

    record = dict
    id = words("The id.", "gas_range")
    title = words("The name, for a person.", "Gas range")
    version = words("The pack's own version.", "1.0.0")
    digest = words("Changes with any number or word in the pack.", "sha256:9f2c...")
    demo = Flag("Whether its numbers are invented, for demonstration.", example=False, required=True)
    layers = array(LayerSchema, "What lies over its pack's own numbers, the lowest first.")


class FamilyListSchema(RecordSchema):
    """The families that cases may be about."""

    record = dict
    families = array(FamilySummarySchema, "The families, sorted by id.")


class LoadedPackSchema(RecordSchema):
    """A pack that was loaded."""

    record = dict
    family = words("The family it models.", "gas_range")
    family_version = words("The version of the model.", "1.0.0")
    digest = words("Changes with any number or word in the pack.", "sha256:9f2c...")
    entry_point = words("The entry point's name.", "gas_range")
    distribution = words("The installed distribution.", "probewright")
    version = words("The distribution's version.", "0.1.0")


class RefusedPackSchema(RecordSchema):
    """A pack that was refused."""

    record = dict
    entry_point = words("The entry point's name.", "gas_rnage")
    distribution = words("The installed distribution.", "somebodys-packs")
    version = words("The distribution's version.", "2.1.0")
    reason = words("Why it was refused.", "incompatible: made for contract 2; this service speaks contract 1")


class PackListSchema(RecordSchema):
    """Packs that were found when the service started."""

    record = dict
    loaded = array(LoadedPackSchema, "Those that were loaded, sorted by family.")
    layers = array(LaidLayerSchema, "Overlay packs and shops' files, the lowest layer first.")
    refused = array(RefusedPackSchema, "Those that were refused, with the reasons.")
