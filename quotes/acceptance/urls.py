"""Addresses of the customer's link, under /q/; those of the firm come first."""

from django.urls import path

from quotes.acceptance import views

app_name = "acceptance"
urlpatterns = [
    path("paper/<int:pk>/", views.RecordPaper.as_view(), name="paper"),
    path("again/<int:pk>/", views.SendLinkAgain.as_view(), name="again"),
    path("withdraw/<int:pk>/", views.WithdrawLinks.as_view(), name="withdraw"),
    path("<slug:token>/", views.QuoteView.as_view(), name="quote"),
    path("<slug:token>/decline/", views.DeclineView.as_view(), name="decline"),
    path("<slug:token>/pdf/", views.PdfView.as_view(), name="pdf"),
]
