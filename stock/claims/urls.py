from django.urls import path

from stock.claims import views

app_name = "claims"
urlpatterns = [
    path("", views.Claims.as_view(), name="list"),
    path("deliveries/<int:pk>/open/", views.OpenClaim.as_view(), name="open"),
    path("deliveries/<int:pk>/undo/", views.UndoClaimed.as_view(), name="undo"),
    path("<int:pk>/", views.ClaimPage.as_view(), name="detail"),
    path("<int:pk>/told/", views.Notify.as_view(), name="notify"),
    path("<int:pk>/answer/", views.RecordAnswer.as_view(), name="answer"),
    path("<int:pk>/credit/", views.RecordCredit.as_view(), name="credit"),
    path("<int:pk>/evidence/", views.AddEvidence.as_view(), name="evidence"),
    path("<int:pk>/close/", views.Close.as_view(), name="close"),
    path("<int:pk>/reopen/", views.Reopen.as_view(), name="reopen"),
]
