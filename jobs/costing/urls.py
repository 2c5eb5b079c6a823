from django.urls import path, re_path

from jobs.costing import views

app_name = "costing"
urlpatterns = [
    path("", views.CostingList.as_view(), name="list"),
    path("jobs/<int:pk>/", views.JobCosting.as_view(), name="job"),
    path("categories/", views.Categories.as_view(), name="categories"),
    re_path(
        r"^categories/costing\.(?P<kind>csv|xlsx)$", views.CategoriesFile.as_view(), name="file"
    ),
    path("hours/", views.HoursList.as_view(), name="hours"),
    path("hours/enter/", views.HoursCreate.as_view(), name="hours_create"),
    path("hours/<int:pk>/back/", views.HoursWithdraw.as_view(), name="withdraw"),
]
