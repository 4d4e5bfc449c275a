"""Settings of the whole project: every read of the environment stands in the first block.

The ledger starts with none of these set. A value that cannot be used stops the start with a sentence
that says what to type.
"""

import sys
from pathlib import Path

import environ
from csp.constants import NONE, SELF

from ledger.starting import (
    BadSetting,
    backups_from,
    database_from,
    keep_from,
    kept_secret_key,
    known_language,
    known_time_zone,
    map_tiles_from,
    one_key,
    photo_store_from,
    yes_or_no,
)

ROOT = Path(__file__).resolve().parent.parent
env = environ.Env()

# The languages of the screens. The first is the one the sentences are written in; the others have a catalogue each in
# ledger/locale (DEVELOPERS.md, Words).
LANGUAGES = [("en-gb", "English"), ("de", "Deutsch")]
TRANSLATED_INTO = [code for code, _ in LANGUAGES[1:]]

# --- The environment, all of it --------------------------------------------------------------------------
try:
    VAR = Path(env.str("LEDGER_VAR", default=str(ROOT / "var"))).resolve()
    # Its owner's only: it holds the database with places and password hashes.
    VAR.mkdir(mode=0o700, parents=True, exist_ok=True)
    DEBUG = yes_or_no("LEDGER_DEBUG", env.str("LEDGER_DEBUG", default="False"))
    SECRET_KEY = env.str("LEDGER_SECRET_KEY", default="") or kept_secret_key(VAR / "secret_key")
    ALLOWED_HOSTS = env.list("LEDGER_HOSTS", default=["127.0.0.1", "localhost", "[::1]"])
    BEHIND_TLS = yes_or_no("LEDGER_HTTPS", env.str("LEDGER_HTTPS", default="False"))
    PROXIES = env.int("LEDGER_PROXIES", default=0)
    TIME_ZONE = known_time_zone(env.str("LEDGER_TIME_ZONE", default="UTC"))
    # For those who have not chosen one, and whose browser asks for none of the others.
    LANGUAGE_CODE = known_language(
        env.str("LEDGER_LANGUAGE", default="en-gb"), [code for code, _ in LANGUAGES]
    )
    DATABASES = {"default": database_from(env.str("DATABASE_URL", default=""), VAR)}
    PHOTO_BUCKET = photo_store_from(env.str("LEDGER_PHOTOS", default=""))
    MEDIA_ROOT = (
        VAR / "photos"
        if PHOTO_BUCKET
        else Path(env.str("LEDGER_PHOTOS", default=str(VAR / "photos"))).resolve()
    )
    PHOTO_LIMIT_MB = env.int("LEDGER_PHOTO_LIMIT_MB", default=40)
    MAP_TILES = map_tiles_from(env.str("LEDGER_MAP_TILES", default=""))
    MAP_CREDIT = env.str("LEDGER_MAP_CREDIT", default="")
    BACKUPS = backups_from(env.str("LEDGER_BACKUPS", default=""), VAR)
    BACKUP_PASSPHRASE, BACKUP_KEY_FILE = one_key(
        env.str("LEDGER_BACKUP_PASSPHRASE", default=""), env.str("LEDGER_BACKUP_KEY_FILE", default="")
    )
    BACKUP_KEEP = keep_from(env.str("LEDGER_BACKUP_KEEP", default="7,5,12"))
except BadSetting as problem:
    sys.exit(f"The ledger did not start. {problem}")
except (environ.ImproperlyConfigured, ValueError) as problem:
    sys.exit(
        f"The ledger did not start. A setting in the environment cannot be read: {problem}. "
        "Nothing was changed. DEVELOPERS.md lists each setting with an example; correct it or leave it out."
    )
except OSError as problem:
    sys.exit(
        f"The ledger did not start. Its folder cannot be used: {problem}. "
        "Name one that can be written, for example LEDGER_VAR=/srv/bracket-ledger."
    )
# ---------------------------------------------------------------------------------------------------------

TESTING = "pytest" in sys.modules
if TESTING:
    # The live server's threads must not hold the test database when it is dropped.
    DATABASES["default"]["CONN_MAX_AGE"] = 0

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "csp",
    "ledger.apps.LedgerConfig",
    "vouchers.apps.VouchersConfig",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "ledger.middleware.Compressor",
    "ledger.middleware.WhatPagesMayUse",
    "ledger.languages.AsTheBrowserAsks",
    "csp.middleware.CSPMiddleware",
    "ledger.middleware.Doorkeeper",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "ledger.languages.AsTheMemberChose",
    "ledger.middleware.NothingStaysBehind",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "axes.middleware.AxesMiddleware",
]

# Pages a phone keeps that are not the ledger's own: the front door joins them, by text.
KEPT_PAGES_ELSEWHERE = ["vouchers.stocktake.kept_page.WALK"]

# Facts that go out with a find and are not the ledger's own; see ledger/handing_on/providers.py.
HANDED_ON_ELSEWHERE = ["vouchers.handing_on.FACTS", "ledger.taking_in.kept.FACTS"]

# Facts of specimens and permits in reports; see ledger/reports/providers.py.
REPORTED_ELSEWHERE = "vouchers.reports.FACTS"

ROOT_URLCONF = "ledger.urls"
WSGI_APPLICATION = "ledger.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [ROOT / "templates"],
        "APP_DIRS": False,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "ledger.club.context.house",
            ],
            "loaders": [
                ("django.template.loaders.cached.Loader", ["django.template.loaders.filesystem.Loader"])
            ],
            "builtins": ["django.templatetags.i18n", "ledger.templatetags.words"],
            # A misspelt variable is seen in tests and invisible to a member.
            "string_if_invalid": "",
        },
    }
]

AUTH_USER_MODEL = "ledger.Member"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "django.contrib.auth.backends.ModelBackend",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
if TESTING:
    PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
AUTH_PASSWORD_VALIDATORS[1]["OPTIONS"] = {"min_length": 10}
PASSWORD_RESET_TIMEOUT = 60 * 60 * 24
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "front"
LOGOUT_REDIRECT_URL = "front"

# Throttled sign-in: ten wrong passwords for one name from one address, or a hundred from one address, rest for a quarter
# of an hour.
MOST_WRONG_OF_AN_ADDRESS = 100
AXES_HANDLER = "ledger.people.throttling.NameAndAddress"
AXES_FAILURE_LIMIT = 10
AXES_COOLOFF_TIME = 0.25
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_LOCKOUT_TEMPLATE = "people/resting.html"
AXES_RESET_ON_SUCCESS = True
# Its default is the model's field; Django's form calls the box "username" whatever the model calls it.
AXES_USERNAME_FORM_FIELD = "username"
AXES_PASSWORD_FORM_FIELD = "password"
AXES_VERBOSE = False
AXES_CLIENT_IP_CALLABLE = "ledger.people.address.client_address"
SILENCED_SYSTEM_CHECKS = ["axes.W004"]

SESSION_COOKIE_NAME = "ledger_session"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = BEHIND_TLS
SESSION_COOKIE_AGE = 60 * 60 * 24 * 60  # a season's pause does not sign a member out in the wood
SESSION_SAVE_EVERY_REQUEST = False
CSRF_COOKIE_NAME = "ledger_csrf"
CSRF_COOKIE_HTTPONLY = True
CSRF_COOKIE_SAMESITE = "Lax"
CSRF_COOKIE_SECURE = BEHIND_TLS
CSRF_FAILURE_VIEW = "ledger.pages.csrf_failure"
CSRF_TRUSTED_ORIGINS = (
    [f"https://{host}" for host in ALLOWED_HOSTS if host not in ("*",)] if BEHIND_TLS else []
)
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_CROSS_ORIGIN_OPENER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
if BEHIND_TLS:
    SECURE_SSL_REDIRECT = True
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = 60 * 60 * 24 * 365

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "manifest-src": [SELF],
        "worker-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}

USE_I18N = True
LOCALE_PATHS = [ROOT / "ledger" / "locale"]
FORMAT_MODULE_PATH = ["ledger.formats"]
LANGUAGE_COOKIE_NAME = "ledger_language"
LANGUAGE_COOKIE_AGE = 60 * 60 * 24 * 365
LANGUAGE_COOKIE_SAMESITE = "Lax"
LANGUAGE_COOKIE_HTTPONLY = True
LANGUAGE_COOKIE_SECURE = BEHIND_TLS
USE_TZ = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

STATIC_URL = "static/"
STATICFILES_DIRS = [ROOT / "static"]
STATIC_ROOT = VAR / "static"
STATIC_ROOT.mkdir(exist_ok=True)
FIXTURES = ROOT / "fixtures"
MEDIA_URL = "/never-served-from-here/"
STORAGES = {
    "default": PHOTO_BUCKET or {"BACKEND": "ledger.photo_storage.PhotoStorage"},
    "staticfiles": {
        "BACKEND": (
            "django.contrib.staticfiles.storage.StaticFilesStorage"
            if DEBUG or TESTING
            else "ledger.static_files.HashedStaticFiles"
        )
    },
}
WHITENOISE_USE_FINDERS = DEBUG or TESTING
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024
# What is read of a request, and what of its photos is held at one time. Between the two lies a full set of photos, which is
# let by with a sentence, so that nothing that was typed with it is lost.
BODY_LIMIT_MB = 25 * PHOTO_LIMIT_MB
PHOTOS_AT_ONCE_MB = 6 * PHOTO_LIMIT_MB
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
DATA_UPLOAD_MAX_NUMBER_FILES = 200  # beyond it the whole form is refused; 24 are taken, see ledger/uploads.py
FILE_UPLOAD_HANDLERS = ["ledger.uploads.PhotoDoor"]
FILE_UPLOAD_PERMISSIONS = 0o640

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "%(asctime)s %(levelname)s %(name)s: %(message)s"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
