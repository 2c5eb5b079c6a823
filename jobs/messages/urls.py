"""Addresses of messages to customers, under /customer-messages/."""

from django.urls import path

from jobs.messages.views import words, writing

app_name = "messages"
urlpatterns = [
    path("", writing.CustomerMessageList.as_view(), name="list"),
    path("jobs/<int:pk>/", writing.Write.as_view(), name="write"),
    path("words/", words.WordingList.as_view(), name="words"),
    # Before the kinds: a number is none of them.
    path("words/<int:pk>/remove/", words.WordingRemove.as_view(), name="wording_remove"),
    path("words/<str:kind>/<str:channel>/", words.WordingEdit.as_view(), name="wording"),
]
