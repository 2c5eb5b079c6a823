"""Addresses of jobs."""

from __future__ import annotations

from django.urls import path

from jobs.work import views

app_name = "work"

urlpatterns = [
    path("", views.JobList.as_view(), name="list"),
    path("enquiry/", views.Enquiry.as_view(), name="enquiry"),
    path("<int:pk>/", views.JobDetail.as_view(), name="detail"),
    path("<int:pk>/change/", views.JobEdit.as_view(), name="edit"),
    path("<int:pk>/copy/", views.JobCopy.as_view(), name="copy"),
    path("<int:pk>/lost/", views.JobLose.as_view(), name="lose"),
    path("<int:pk>/cancel/", views.JobCancel.as_view(), name="cancel"),
    path("<int:pk>/open-again/", views.JobReopen.as_view(), name="reopen"),
    path("<int:pk>/step/<str:stage>/", views.JobStep.as_view(), name="step"),
]
