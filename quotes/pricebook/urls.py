"""Addresses of the price book, under /prices/."""

from django.urls import path

from quotes.pricebook import views

app_name = "pricebook"
urlpatterns = [
    path("", views.WorkItemList.as_view(), name="list"),
    path("add/", views.WorkItemCreate.as_view(), name="create"),
    path("rates/", views.FirmRatesPage.as_view(), name="rates"),
    path("rates/add/", views.NewFirmRates.as_view(), name="add_rates"),
    path("<int:pk>/", views.WorkItemPage.as_view(), name="detail"),
    path("<int:pk>/edit/", views.WorkItemEdit.as_view(), name="edit"),
    path("<int:pk>/rate/", views.NewRate.as_view(), name="rate"),
    path("<int:pk>/archive/", views.WorkItemArchive.as_view(), name="archive"),
]
