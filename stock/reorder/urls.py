"""Addresses of what to reorder."""

from django.urls import path

from stock.reorder import views

app_name = "reorder"
urlpatterns = [
    path("", views.Suggestions.as_view(), name="list"),
    path("again/", views.ReckonAgain.as_view(), name="again"),
    path("<int:pk>/", views.SuggestionPage.as_view(), name="detail"),
    path("<int:pk>/draft/", views.DraftSuggestion.as_view(), name="draft"),
    path("<int:pk>/aside/", views.SetAside.as_view(), name="aside"),
]
