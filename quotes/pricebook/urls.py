"""Addresses of the price book, under /prices/."""

from django.urls import path

from quotes.pricebook import views

app_name = "pricebook"
urlpatterns = [
    path("", views.WorkItemList.as_view(), name="list"),
    path("add/", views.WorkItemCreate.as_view(), name="create"),
    path("rates/", views.FirmRatesPage.as_view(), name="rates"),
    path("rates/add/", views.NewFirmRates.as_view(), name="add_rates"),
    path("sheet/", views.PriceBookImport.as_view(), name="import"),
    path("sheet/file/", views.PriceBookExport.as_view(), name="export"),
    path("sheet/<slug:kind>/", views.DatedImport.as_view(), name="import_kind"),
    path("sheet/<slug:kind>/file/", views.DatedExport.as_view(), name="export_kind"),
    path("book/", views.BookPage.as_view(), name="book"),
    path("book/<slug:kind>/", views.EntryList.as_view(), name="entries"),
    path("book/<slug:kind>/add/", views.AddEntry.as_view(), name="add_entry"),
    path("book/<slug:kind>/<int:pk>/", views.EntryPage.as_view(), name="entry"),
    path("book/<slug:kind>/<int:pk>/rate/", views.NewEntryRate.as_view(), name="entry_rate"),
    path("book/<slug:kind>/<int:pk>/archive/", views.ArchiveEntry.as_view(), name="archive_entry"),
    path("<int:pk>/", views.WorkItemPage.as_view(), name="detail"),
    path("<int:pk>/edit/", views.WorkItemEdit.as_view(), name="edit"),
    path("<int:pk>/rate/", views.NewRate.as_view(), name="rate"),
    path("<int:pk>/archive/", views.WorkItemArchive.as_view(), name="archive"),
]
