from django.urls import path

from stock.valuation import views

app_name = "valuation"
urlpatterns = [
    path("", views.ValueList.as_view(), name="list"),
    path("turns/", views.TurnList.as_view(), name="turns"),
    path("dead/", views.DeadList.as_view(), name="dead"),
]
