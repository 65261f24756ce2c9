"""Reading the library. Each has a fixed number of queries."""

from django.db.models import Prefetch, QuerySet

from shop.boards.models import BoardRevision, DeviceModel, Service, ServicePart


def models() -> QuerySet[DeviceModel]:
    """Return the device models in use, by maker and name. One query."""
    return DeviceModel.objects.filter(retired_at=None).order_by("maker", "name")


def revisions_of(model: DeviceModel) -> QuerySet[BoardRevision]:
    """Return a model's board revisions in use, by marking. One query."""
    return BoardRevision.objects.filter(model=model, retired_at=None).order_by("marking")


def services() -> QuerySet[Service]:
    """Return the services offered, by name, each with its `parts` and their specification. Two queries."""
    brought = ServicePart.objects.select_related("part").order_by("part__code")
    return Service.objects.filter(retired_at=None).order_by("name").prefetch_related(Prefetch("parts", brought))
