"""Addresses of sites."""

from __future__ import annotations

from django.urls import path

from jobs.sites import views

app_name = "sites"

urlpatterns = [
    path("", views.SiteList.as_view(), name="list"),
    path("add/<int:customer>/", views.SiteCreate.as_view(), name="create"),
    path("<int:pk>/", views.SiteDetail.as_view(), name="detail"),
    path("<int:pk>/change/", views.SiteEdit.as_view(), name="edit"),
    path("<int:pk>/put-away/", views.SiteArchive.as_view(), name="archive"),
    path("<int:pk>/bring-back/", views.SiteRestore.as_view(), name="restore"),
]
