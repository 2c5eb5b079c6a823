"""Addresses of surveys."""

from __future__ import annotations

from django.urls import path

from jobs.surveys.views import areas, visits

app_name = "surveys"

urlpatterns = [
    path("", visits.SurveyList.as_view(), name="list"),
    path("add/<int:job>/", visits.SurveyCreate.as_view(), name="create"),
    path("<int:pk>/", visits.SurveyDetail.as_view(), name="detail"),
    path("<int:pk>/change/", visits.SurveyEdit.as_view(), name="edit"),
    path("<int:pk>/photos/add/", visits.SurveyPhotos.as_view(), name="photos"),
    path("<int:pk>/finish/", visits.SurveyFinish.as_view(), name="finish"),
    path("<int:pk>/open-again/", visits.SurveyReopen.as_view(), name="reopen"),
    path("<int:pk>/discard/", visits.SurveyDiscard.as_view(), name="discard"),
    path("<int:pk>/areas/add/", areas.AreaCreate.as_view(), name="area_create"),
    path("areas/<int:pk>/", areas.AreaDetail.as_view(), name="area"),
    path("areas/<int:pk>/change/", areas.AreaEdit.as_view(), name="area_edit"),
    path("areas/<int:pk>/remove/", areas.AreaRemove.as_view(), name="area_remove"),
    path("areas/<int:pk>/shapes/add/<str:kind>/", areas.ShapeCreate.as_view(), name="shape_create"),
    path("shapes/<int:pk>/change/", areas.ShapeEdit.as_view(), name="shape_edit"),
    path("shapes/<int:pk>/remove/", areas.ShapeRemove.as_view(), name="shape_remove"),
]
