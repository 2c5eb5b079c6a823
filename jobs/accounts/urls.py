from django.urls import path

from jobs.accounts import views

app_name = "accounts"
urlpatterns = [
    path("", views.MemberList.as_view(), name="members"),
    path("invite/", views.Invite.as_view(), name="invite"),
    path("<int:pk>/", views.Member.as_view(), name="member"),
    path("invitations/<int:pk>/withdraw/", views.Withdraw.as_view(), name="withdraw"),
    path("join/<str:token>/", views.Join.as_view(), name="join"),
]
