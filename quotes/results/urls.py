"""Addresses of the numbers over the year, under /results/."""

from django.urls import path, re_path

from quotes.results import views

app_name = "results"
urlpatterns = [
    path("", views.ResultsPage.as_view(), name="list"),
    re_path(r"^sums\.(?P<kind>csv|xlsx)$", views.ResultsFile.as_view(), name="file"),
]
