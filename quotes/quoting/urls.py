"""Addresses of quotes, under /quotes/."""

from django.urls import path

from quotes.quoting import views

app_name = "quoting"
urlpatterns = [
    path("", views.QuoteList.as_view(), name="list"),
    path("start/<int:job>/", views.StartQuote.as_view(), name="start"),
    path("<int:pk>/", views.QuotePage.as_view(), name="detail"),
    path("<int:pk>/terms/", views.ChangeTerms.as_view(), name="terms"),
    path("<int:pk>/stages/", views.PlanPayment.as_view(), name="plan"),
    path("<int:pk>/stages/ready/", views.ChooseReadyPlan.as_view(), name="ready_plan"),
    path("<int:pk>/words/", views.ChangeWords.as_view(), name="words"),
    path("<int:pk>/lines/add/", views.AddLine.as_view(), name="add_line"),
    path("<int:pk>/lines/<int:line>/", views.ChangeLine.as_view(), name="change_line"),
    path("<int:pk>/lines/<int:line>/remove/", views.RemoveLine.as_view(), name="remove_line"),
    path("<int:pk>/lines/<int:line>/move/", views.MoveLine.as_view(), name="move_line"),
    path("<int:pk>/lines/add/<slug:kind>/", views.AddAsked.as_view(), name="add_asked"),
    path("<int:pk>/lines/<int:line>/figures/", views.ChangeAsked.as_view(), name="change_asked"),
    path("<int:pk>/lines/file/", views.LinesFile.as_view(), name="lines_file"),
    path("<int:pk>/small-job/", views.AddSmallJob.as_view(), name="add_small"),
    path("<int:pk>/sample/", views.NoteSample.as_view(), name="sample"),
    path("<int:pk>/vat-document/", views.AttachVatDocument.as_view(), name="vat_document"),
    path("<int:pk>/reprice/", views.Reprice.as_view(), name="reprice"),
    path("<int:pk>/revise/", views.Revise.as_view(), name="revise"),
    path("<int:pk>/send/", views.SendQuote.as_view(), name="send"),
    path("<int:pk>/workings/", views.LineWorkings.as_view(), name="workings"),
]
