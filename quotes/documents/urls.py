"""Addresses of quotes' PDFs, under /documents/."""

from django.urls import path

from quotes.documents import views

app_name = "documents"
urlpatterns = [
    path("quote/<int:pk>/", views.OpenPdf.as_view(), name="open"),
    path("quote/<int:pk>/draw/", views.AskPdf.as_view(), name="ask"),
    path("quote/<int:pk>/pages/", views.Pages.as_view(), name="pages"),
    path("compare/<int:pk>/", views.ComparePage.as_view(), name="compare"),
    path("<uuid:uid>/page/<int:number>/", views.PageAsPicture.as_view(), name="picture"),
    path("<uuid:uid>/", views.Progress.as_view(), name="progress"),
    path("<uuid:uid>/pdf/", views.DrawnPdf.as_view(), name="pdf"),
]
