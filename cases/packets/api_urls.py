"""API of packets."""

from django.urls import path

from cases.packets import api

app_name = "packets_api"
_PACKETS = "cases/<uuid:case_id>/packets"
urlpatterns = [
    path(f"{_PACKETS}/", api.PacketsOfCase.as_view(), name="packets"),
    path(f"{_PACKETS}/<uuid:packet_id>/", api.OnePacket.as_view(), name="packet"),
    path(f"{_PACKETS}/<uuid:packet_id>/retry/", api.RetryPacket.as_view(), name="retry-packet"),
    path(
        f"{_PACKETS}/<uuid:packet_id>/release/", api.ReleasePacket.as_view(), name="release-packet"
    ),
]
