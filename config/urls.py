"""All addresses: the rooms of the three apps, the log-in, health, errors."""

from __future__ import annotations

from importlib.util import find_spec

from allauth.account import views as account
from django.conf import settings
from django.urls import URLPattern, URLResolver, include, path, re_path

from config import views

# Log-in and passwords only: people join by invitation, so there is no sign-up and no other address.
ACCOUNT = [
    path("login/", account.login, name="account_login"),
    path("logout/", account.logout, name="account_logout"),
    path("inactive/", account.account_inactive, name="account_inactive"),
    path("reauthenticate/", account.reauthenticate, name="account_reauthenticate"),
    path("password/change/", account.password_change, name="account_change_password"),
    path("password/set/", account.password_set, name="account_set_password"),
    path("password/reset/", account.password_reset, name="account_reset_password"),
    path("password/reset/done/", account.password_reset_done, name="account_reset_password_done"),
    re_path(
        r"^password/reset/key/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        account.password_reset_from_key,
        name="account_reset_password_from_key",
    ),
    path(
        "password/reset/key/done/",
        account.password_reset_from_key_done,
        name="account_reset_password_from_key_done",
    ),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", views.home, name="home"),
    path("healthz", views.healthz, name="healthz"),
    path("accounts/", include(ACCOUNT)),
    *(
        path("", include(f"{app}.urls"))
        for app in ("jobs", "stock", "quotes")
        if find_spec(f"{app}.urls")
    ),
]
if settings.STYLE_PAGE:
    urlpatterns.append(path("style/", views.style, name="style"))

handler400 = "config.views.bad_request"
handler403 = "config.views.permission_denied"
handler404 = "config.views.page_not_found"
handler500 = "config.views.server_error"
