"""Addresses of customers."""

from __future__ import annotations

from django.urls import path

from jobs.customers import views

app_name = "customers"

urlpatterns = [
    path("", views.CustomerList.as_view(), name="list"),
    path("add/", views.CustomerCreate.as_view(), name="create"),
    path("<int:pk>/", views.CustomerDetail.as_view(), name="detail"),
    path("<int:pk>/change/", views.CustomerEdit.as_view(), name="edit"),
    path("<int:pk>/put-away/", views.CustomerArchive.as_view(), name="archive"),
    path("<int:pk>/bring-back/", views.CustomerRestore.as_view(), name="restore"),
    path("<int:pk>/data/", views.CustomerData.as_view(), name="data"),
    path("<int:pk>/erase/", views.CustomerErase.as_view(), name="erase"),
    path("<int:pk>/contacts/add/", views.ContactCreate.as_view(), name="contact_create"),
    path("contacts/<int:pk>/change/", views.ContactEdit.as_view(), name="contact_edit"),
    path("contacts/<int:pk>/take-off/", views.ContactArchive.as_view(), name="contact_archive"),
]
