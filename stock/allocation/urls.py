from django.urls import path

from stock.allocation import views

app_name = "allocation"
urlpatterns = [
    path("", views.Needs.as_view(), name="list"),
    path("proposal/", views.ShowProposal.as_view(), name="proposal"),
    path("proposal/ask/", views.AskProposal.as_view(), name="propose"),
    path("proposal/<uuid:uid>/", views.ProposalProgress.as_view(), name="progress"),
    path("proposal/<uuid:uid>/take/", views.TakeProposal.as_view(), name="take"),
    path("jobs/<int:pk>/", views.JobNeeds.as_view(), name="job"),
    path("jobs/<int:pk>/reserve/", views.ReserveJob.as_view(), name="reserve"),
    path("reservations/<int:pk>/release/", views.ReleaseReservation.as_view(), name="release"),
    path("reservations/<int:pk>/pin/", views.PinReservation.as_view(), name="pin"),
]
