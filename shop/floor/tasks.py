"""What a worker does for the floor."""

from uuid import UUID

from celery import shared_task

from shop.floor.flows import lost_link


@shared_task(name="floor.send_links", ignore_result=True)
def send_links(wish_id: str) -> None:
    """Send the links that somebody wished for, if the address is known."""
    lost_link.send_links(UUID(wish_id))
