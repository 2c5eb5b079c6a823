"""Addresses of jobs."""

from __future__ import annotations

from django.urls import path

from jobs.work.views import jobs, photos, stages

app_name = "work"

urlpatterns = [
    path("", jobs.JobList.as_view(), name="list"),
    path("enquiry/", jobs.Enquiry.as_view(), name="enquiry"),
    path("<int:pk>/", jobs.JobDetail.as_view(), name="detail"),
    path("<int:pk>/change/", jobs.JobEdit.as_view(), name="edit"),
    path("<int:pk>/copy/", jobs.JobCopy.as_view(), name="copy"),
    path("<int:pk>/photos/add/", photos.JobPhotos.as_view(), name="photos"),
    path("<int:pk>/lost/", stages.JobLose.as_view(), name="lose"),
    path("<int:pk>/cancel/", stages.JobCancel.as_view(), name="cancel"),
    path("<int:pk>/open-again/", stages.JobReopen.as_view(), name="reopen"),
    path("<int:pk>/step/<str:stage>/", stages.JobStep.as_view(), name="step"),
]
