"""The REST API and how it describes itself."""

REST_FRAMEWORK = {
    # Each endpoint names its own authentication and asks the table of permits, see api/operation.py.
    "DEFAULT_AUTHENTICATION_CLASSES": [],
    "DEFAULT_PERMISSION_CLASSES": [],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["rest_framework.parsers.JSONParser", "rest_framework.parsers.MultiPartParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "api.problems.handle",
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Wickline",
    "DESCRIPTION": "Units, quotes, bench work, tests and pickup of one workshop.",
    "VERSION": "1.0.0",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "ENUM_NAME_OVERRIDES": {
        "BagKind": "shop.units.models.Bag.Kind",
        "FindingKind": "shop.units.models.Finding.Kind",
        "HoldKind": "shop.units.models.Hold.Kind",
        "LineKind": "shop.quotes.models.QuoteLine.Kind",
        "PlacementKind": "api.resources.board_entries.KINDS",
        "PlaceKind": "shop.people.models.Place.Kind",
        "WaitsFor": "api.resources.moves.HOLDS",
        "StaffRole": "shop.people.models.User.Role",
        "CapacitorRole": "api.resources.reckoner.ROLES",
        "CapacitorMounting": "api.resources.reckoner.MOUNTINGS",
        "CapacitorTechnology": "api.resources.reckoner.TECHNOLOGIES",
    },
    "POSTPROCESSING_HOOKS": ["drf_spectacular.hooks.postprocess_schema_enums", "api.describe.finish"],
}
