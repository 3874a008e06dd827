"""Pages of what waits and of what is measured."""

from django.urls import path

from cases.measures import own_views, views

app_name = "measures"
urlpatterns = [
    path("account/daily-mail/", own_views.daily_mail, name="daily-mail"),
    path("waiting/", views.waiting, name="waiting"),
    path("waiting/export.csv", views.waiting_export, name="waiting-export"),
    path("measures/", views.measures, name="measures"),
    path("measures/cases/", views.cases_behind, name="cases"),
    path("measures/cases.csv", views.cases_export, name="cases-export"),
]
