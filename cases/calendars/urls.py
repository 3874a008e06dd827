"""Pages of leave and calendars."""

from django.urls import path, re_path

from cases.calendars import views

app_name = "calendars"
urlpatterns = [
    path("leave/", views.leave, name="leave"),
    path("leave/<uuid:record_id>/withdraw/", views.withdraw_leave, name="withdraw-leave"),
    path("calendars/", views.feeds, name="feeds"),
    path("calendars/names/", views.choose_names, name="choose-names"),
    re_path(r"^calendars/(?P<whose>own|office)/open/$", views.open_feed, name="open-feed"),
    re_path(r"^calendars/(?P<whose>own|office)/close/$", views.close_feed, name="close-feed"),
    re_path(r"^calendars/feed/(?P<secret>[\w-]{1,64})\.ics$", views.feed, name="feed"),
]
