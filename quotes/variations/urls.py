"""Addresses of variations, under /variations/; the list first, the customer's last."""

from django.urls import path

from quotes.variations import views

app_name = "variations"
urlpatterns = [
    path("", views.VariationList.as_view(), name="list"),
    path("start/<int:job>/", views.StartVariation.as_view(), name="start"),
    path("<int:pk>/", views.VariationPage.as_view(), name="detail"),
    path("<int:pk>/change/", views.ChangeVariation.as_view(), name="change"),
    path("<int:pk>/lines/add/", views.AddLine.as_view(), name="add_line"),
    path("<int:pk>/lines/<int:line>/remove/", views.RemoveLine.as_view(), name="remove_line"),
    path("<int:pk>/delete/", views.RemoveVariation.as_view(), name="delete"),
    path("<int:pk>/send/", views.SendVariation.as_view(), name="send"),
    path("<int:pk>/replace/", views.Replace.as_view(), name="replace"),
    path("<int:pk>/link/", views.SendLinkAgain.as_view(), name="again"),
    path("<int:pk>/withdraw/", views.Withdraw.as_view(), name="withdraw"),
    path("<int:pk>/paper/", views.RecordPaper.as_view(), name="paper"),
    path("<int:pk>/decline/", views.RecordDecline.as_view(), name="record_decline"),
    path("<int:pk>/days/", views.SettleDays.as_view(), name="days"),
    path("<int:pk>/days/again/", views.ReopenDays.as_view(), name="days_again"),
    path("<int:pk>/pdf/", views.OpenPdf.as_view(), name="open_pdf"),
    path("answer/<slug:token>/", views.AnswerVariation.as_view(), name="answer"),
    path("answer/<slug:token>/decline/", views.DeclineVariation.as_view(), name="decline"),
    path("answer/<slug:token>/pdf/", views.VariationPdf.as_view(), name="pdf"),
]
