"""Addresses of customers."""

from __future__ import annotations

from django.urls import path

from jobs.customers.views import contacts, customers, personal_data

app_name = "customers"

urlpatterns = [
    path("", customers.CustomerList.as_view(), name="list"),
    path("add/", customers.CustomerCreate.as_view(), name="create"),
    path("<int:pk>/", customers.CustomerDetail.as_view(), name="detail"),
    path("<int:pk>/change/", customers.CustomerEdit.as_view(), name="edit"),
    path("<int:pk>/put-away/", customers.CustomerArchive.as_view(), name="archive"),
    path("<int:pk>/bring-back/", customers.CustomerRestore.as_view(), name="restore"),
    path("<int:pk>/data/", personal_data.CustomerData.as_view(), name="data"),
    path("<int:pk>/erase/", personal_data.CustomerErase.as_view(), name="erase"),
    path("<int:pk>/contacts/add/", contacts.ContactCreate.as_view(), name="contact_create"),
    path("contacts/<int:pk>/change/", contacts.ContactEdit.as_view(), name="contact_edit"),
    path("contacts/<int:pk>/take-off/", contacts.ContactArchive.as_view(), name="contact_archive"),
]
