"""Settings of the whole office, driven by the environment; a wrong value stops the start."""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path
from urllib.parse import parse_qsl, urlsplit
from zoneinfo import ZoneInfo

from csp.constants import NONE, SELF
from kombu.entity import Queue

from me_office import embedded
from me_office.environment import Environment
from me_office.environment.checks import MAIL_SCHEMES, NO_MAIL, plain
from me_office.environment.stores import storage_of
from me_office.environment.table import PAPERS

BASE_DIR = Path(__file__).resolve().parent.parent


given = Environment(os.environ)

# A server that fell silent (power, cable, firewall) is noticed within half a minute, not after the
# system's hours: PostgreSQL's documentation, 32.1.2. DATABASE_URL may say otherwise.
LOST_CONNECTION = {
    "connect_timeout": "10",
    "keepalives_idle": "10",
    "keepalives_interval": "5",
    "keepalives_count": "4",
    "tcp_user_timeout": "30000",
}
# Nobody waits for somebody else's row without end, nor keeps one while nothing happens: a request
# gives up before the web server would, and what fell silent in the middle is rolled back.
NO_ENDLESS_WAIT = "-c lock_timeout=20s -c idle_in_transaction_session_timeout=5min"
# The rows of a page are on solid-state storage or in memory. With PostgreSQL's own guess, made for
# turning disks, a list of a hundred rows reads every case of a large office.
NO_TURNING_DISK = "-c random_page_cost=1.1"


def _database(url: str) -> dict[str, object]:
    parts = urlsplit(url)
    usual = {"options": f"{NO_ENDLESS_WAIT} {NO_TURNING_DISK}"}
    options = LOST_CONNECTION | usual | dict(parse_qsl(parts.query))
    return {
        "ENGINE": "me_office.postgresql",
        "NAME": plain(parts.path.lstrip("/")),
        "USER": plain(parts.username),
        "PASSWORD": plain(parts.password),
        "HOST": options.pop("host", None) or parts.hostname or "",
        "PORT": str(parts.port or ""),
        "OPTIONS": options,
        "CONN_MAX_AGE": given.number("DATABASE_CONN_MAX_AGE"),
        "CONN_HEALTH_CHECKS": True,
        "ATOMIC_REQUESTS": False,
    }


# Embedded servers stand in only where the environment names no real ones.
EMBEDDED = not given.text("DATABASE_URL")
TESTING = given.flag("ME_TESTING")
DATA_DIR = given.folder("ME_DATA_DIR", BASE_DIR / ".local")
DEBUG = given.flag("ME_DEBUG")

SECRET_KEY = given.text("ME_SECRET_KEY") or embedded.local_secret(DATA_DIR)

# Migrations run as the role that owns the tables; web and worker as one that owns nothing.
EMBEDDED_ROLE = given.text("ME_EMBEDDED_ROLE")
DATABASES = {
    "default": _database(
        given.text("DATABASE_URL") or embedded.database_url(DATA_DIR, EMBEDDED_ROLE)
    )
}
REDIS_URL = given.text("REDIS_URL") or embedded.redis_url(DATA_DIR)

ALLOWED_HOSTS = given.words("ME_HOSTS") or ["localhost", "127.0.0.1", "[::1]", "testserver"]
CSRF_TRUSTED_ORIGINS = given.words("ME_ORIGINS")
# The proxies whose X-Forwarded-For and X-Forwarded-Proto are believed (`me_office.audit.address`).
TRUSTED_PROXIES = given.networks("ME_TRUSTED_PROXIES")

OFFICE_NAME = given.text("OFFICE_NAME")
OFFICE_ADDRESS = given.text("OFFICE_ADDRESS")
OFFICE_PHONE = given.text("OFFICE_PHONE")
OFFICE_AUTHORITY = given.text("OFFICE_AUTHORITY")
OFFICE_CASE_PREFIX = given.text("OFFICE_CASE_PREFIX")
# Paper of documents, as Typst calls it.
OFFICE_PAPER = PAPERS[given.text("OFFICE_PAPER")]
# The office's written rule on peer review: which kinds of examination may be finished without it.
# How the report is arranged.
REPORT_OPINION = given.text("OFFICE_REPORT_OPINION")
REPORT_INJURIES = given.text("OFFICE_REPORT_INJURIES")
REVIEW_WAIVED_FOR = frozenset(given.words("OFFICE_REVIEW_WAIVED_FOR"))
# The rule as it is printed; where the office states none, it is made of the kinds.
REVIEW_WAIVER_RULE = given.text("OFFICE_REVIEW_WAIVER_RULE")
# Kinds of examination that are this office's normal course: no reason is asked for them.
NORMAL_EXAMINATIONS = frozenset(given.words("OFFICE_NORMAL_EXAMINATIONS"))
# What local law or the office's own rule says of filing a certificate, in the office's words.
CERTIFICATE_RULE = given.text("OFFICE_CERTIFICATE_RULE")
TIME_ZONE = given.text("OFFICE_TIME_ZONE")
OFFICE_ZONE = ZoneInfo(TIME_ZONE)
# Who brings it reads what strangers do not: the words of /health/ready/ and the metrics.
INSIDE_TOKEN = given.text("ME_INSIDE_TOKEN")
# Which start of the office this is, as `me_office.run` names it; the health check says it.
INSTANCE = given.text("ME_INSTANCE")

INSTALLED_APPS = [
    "me_office.accounts",
    "me_office.audit",
    "me_office.jobs",
    "me_office.shell",
    "me_office.upkeep",
    "cases",
    "cases.certification",
    "cases.checking",
    "cases.drafting",
    "cases.review",
    "cases.signatures",
    "cases.remains",
    "cases.counting",
    "cases.court",
    "cases.clock",
    "cases.letters",
    "cases.decisions",
    "cases.packets",
    "cases.docket",
    "cases.answers",
    "cases.exhibits",
    "cases.case_search",
    "cases.explanations",
    "cases.witness",
    "cases.rehearsal",
    "cases.statements",
    "cases.appearances",
    "cases.calendars",
    "cases.qualifications",
    "cases.measures",
    "cases.redaction",
    "findings",
    "findings.computing",
    "evidence",
    "evidence.intake",
    "evidence.clocks",
    "evidence.fixity",
    "evidence.gaps",
    "evidence.measuring",
    "evidence.custody",
    "evidence.results",
    "me_office.demo",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django.contrib.postgres",
    "django.contrib.humanize",
    "django.forms",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "csp",
    "django_htmx",
    "guardian",
    "rest_framework",
    "drf_spectacular",
]

MIDDLEWARE = [
    "me_office.audit.address.OnlyTrustedProxies",
    "me_office.logs.requests.Requests",
    "me_office.upkeep.metrics.requests.Counted",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "me_office.shell.middleware.NothingKept",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "me_office.accounts.devices.KnownDevices",
    "me_office.shell.middleware.OwnPages",
    "me_office.accounts.middleware.SignedInOnly",
    "me_office.audit.middleware.RequestContext",
    "me_office.accounts.second_factor.SecondFactorActs",
    "me_office.shell.middleware.OfficeErrors",
    "cases.review.blind.HeldBack",
]

ROOT_URLCONF = "me_office.urls"
WSGI_APPLICATION = "me_office.wsgi.application"

TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "me_office.shell.context.office",
            ],
            "builtins": ["me_office.shell.templatetags.office"],
        },
    }
]
FORM_RENDERER = "me_office.shell.renderer.OfficeRenderer"

AUTH_USER_MODEL = "accounts.Staff"
AUTHENTICATION_BACKENDS = [
    "me_office.accounts.backends.StaffBackend",
    "guardian.backends.ObjectPermissionBackend",
]
GUARDIAN_MONKEY_PATCH_USER = False
ANONYMOUS_USER_NAME = None
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.ScryptPasswordHasher"]
LOGIN_URL = "account_login"
LOGIN_REDIRECT_URL = "first-page"
ACCOUNT_ADAPTER = "me_office.accounts.adapter.OfficeAdapter"
ACCOUNT_LOGIN_METHODS = {"username"}
ACCOUNT_SIGNUP_FIELDS = ["username*", "password1*"]
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_SESSION_REMEMBER = False
ACCOUNT_LOGOUT_ON_GET = False
ACCOUNT_REAUTHENTICATION_TIMEOUT = 300
# The library's limits shut out by name and live in the cache: `me_office.accounts.tries` counts.
ACCOUNT_RATE_LIMITS = False
ACCOUNT_FORMS = {"change_password": "me_office.accounts.code_forms.ChangePasswordForm"}
MFA_FORMS = {
    "authenticate": "me_office.accounts.code_forms.AuthenticateForm",
    "reauthenticate": "me_office.accounts.code_forms.ReauthenticateForm",
    "activate_totp": "me_office.accounts.code_forms.ActivateTOTPForm",
}
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]
MFA_TOTP_ISSUER = OFFICE_NAME
# A code that changes while it is typed, or a phone that is some seconds off: RFC 6238, section 5.2
# (from memory) recommends at most one step. Used ones are remembered for longer than it holds.
MFA_TOTP_TOLERANCE = 1
# Everyone needs a second factor, except in an office that runs on embedded servers (a try-out).
REQUIRE_SECOND_FACTOR = given.flag("ME_REQUIRE_SECOND_FACTOR", default=not EMBEDDED)

SESSION_ENGINE = "me_office.accounts.sessions"
SESSION_COOKIE_AGE = 12 * 3600
SESSION_EXPIRE_AT_BROWSER_CLOSE = True
HTTPS = given.flag("ME_HTTPS", default=not EMBEDDED)
SESSION_COOKIE_SECURE = HTTPS
CSRF_COOKIE_SECURE = HTTPS
CSRF_FAILURE_VIEW = "me_office.shell.errors.csrf_failure"
SECURE_SSL_REDIRECT = HTTPS
# Asked on the machine itself, past the proxy; and to see what a proxy does not say.
SECURE_REDIRECT_EXEMPT = [r"^health/((live|ready|route)/)?$", r"^metrics$"]
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
# Being on the browsers' list is hard to undo and binds every name under the office's domain: an
# office asks for it by itself.
SECURE_HSTS_PRELOAD = HTTPS and given.flag("ME_HSTS_PRELOAD")
SILENCED_SYSTEM_CHECKS = [] if SECURE_HSTS_PRELOAD else ["security.W021"]
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "worker-src": [SELF],
        "manifest-src": [SELF],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
        "base-uri": [NONE],
    }
}

USE_TZ = True
USE_I18N = True
LANGUAGE_CODE = given.text("OFFICE_LANGUAGE")
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

STATIC_URL = "/static/"
STATIC_ROOT = DATA_DIR / "static"
# Originals are kept once by digest, in a folder unless another storage is set here.
FILE_STORE = given.folder("ME_FILE_STORE", DATA_DIR / "files")
STORE_IS_FOLDER = not given.text("ME_S3_BUCKET")
MEDIA_ROOT = FILE_STORE

STORAGES = {
    "default": storage_of(given.text, FILE_STORE),
    "staticfiles": {
        # The tests read the files where they lie, without collecting them first.
        "BACKEND": "me_office.shell.static_urls.WhereTheyLie"
        if TESTING
        else "me_office.shell.static_urls.Collected"
    },
}
STATICFILES_FINDERS = [
    "me_office.shell.one_sheet.OneSheet",
    "django.contrib.staticfiles.finders.AppDirectoriesFinder",
]
WHITENOISE_USE_FINDERS = TESTING
# Tests make hundreds of clients, and each would look through every static file once more.
WHITENOISE_AUTOREFRESH = DEBUG or TESTING
# One photograph may be this large (bytes) and have this many picture points.
PHOTOGRAPH_MAX_BYTES = given.number("ME_PHOTOGRAPH_MAX_BYTES")
PHOTOGRAPH_MAX_PIXELS = given.number("ME_PHOTOGRAPH_MAX_PIXELS")
# With less left on the store's disk than this there is an alarm. The default is a day of a busy
# office: some hundred photographs and a packet.
STORE_LITTLE_ROOM_BYTES = given.number("ME_STORE_LITTLE_ROOM")
# Requests that have not come whole, and files in forms.
SPOOL_DIR = given.folder("ME_SPOOL_DIR", DATA_DIR / "unfinished")
# How fast the regular check reads the store (bytes a second); 0 sets no bound.
STORE_CHECK_BYTES_A_SECOND = given.number("ME_STORE_CHECK_RATE")
# For whom backups are sealed, and where they go ("": named with each).
BACKUP_RECIPIENTS = given.words("ME_BACKUP_RECIPIENTS")
BACKUP_TARGET = given.text("ME_BACKUP_TARGET")
# Seals the private keys of signatures; without it an office with servers of its own keeps none.
SIGNING_SECRET = given.text("ME_SIGNING_SECRET") or (SECRET_KEY if EMBEDDED or TESTING else "")
# Where signatures get a time stamp (RFC 3161); nowhere where none is named.
TIMESTAMP_URL = given.text("ME_TIMESTAMP_URL")
# Whether addenda and amendments are signed by a second pathologist too.
SECOND_SIGNATURE = given.flag("OFFICE_SECOND_SIGNATURE")
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
FILE_UPLOAD_MAX_MEMORY_SIZE = 1024 * 1024

# A broker or cache that hangs is waited for no longer than this, in seconds.
REDIS_PATIENCE = {"socket_timeout": 3, "socket_connect_timeout": 2}
CACHES = {
    "default": {
        "BACKEND": "me_office.jobs.cache.PatientCache",
        "LOCATION": REDIS_URL,
        "OPTIONS": {"socket_timeout": 1, "socket_connect_timeout": 1},
    }
}
CELERY_BROKER_URL = REDIS_URL
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_TASK_REJECT_ON_WORKER_LOST = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
# Longer than a quick job may run. A long one is delivered again meanwhile and finds that it is
# under way.
CELERY_BROKER_TRANSPORT_OPTIONS = {
    "visibility_timeout": 900,
    **REDIS_PATIENCE,
    "max_retries": 1,
    "interval_start": 0,
    "interval_step": 0,
}
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_BROKER_CONNECTION_MAX_RETRIES = None
# Two queues, each with workers of its own: a packet of an hour keeps no picture waiting.
CELERY_TASK_QUEUES = (Queue("quick"), Queue("long"))
CELERY_TASK_DEFAULT_QUEUE = "quick"
CELERY_TASK_ROUTES = {
    "cases.packets.tasks.build_packet": {"queue": "long"},
    "cases.answers.tasks.build_answer": {"queue": "long"},
    "cases.redaction.tasks.make_redacted_document": {"queue": "long"},
    "evidence.fixity.tasks.check_store": {"queue": "long"},
}
CELERY_TASK_SOFT_TIME_LIMIT = 540
CELERY_TASK_TIME_LIMIT = 600
CELERY_TIMEZONE = "UTC"
# How long a request is known by its key. A form may wait on a device for a connection, or be sent
# again after a long leave: at least a week, the database sees to that.
REQUEST_KEYS_KEPT = timedelta(days=given.number("ME_REQUEST_KEYS_DAYS"))
# What a periodic job finds to do it finds again: a message that nobody took is worth nothing after.
CELERY_BEAT_SCHEDULE = {
    name: {"task": task, "schedule": seconds, "options": {"expires": seconds}}
    for name, task, seconds in (
        ("clear-answers", "me_office.audit.tasks.clear_answers", 3600.0),
        ("clear-tries", "me_office.audit.tasks.clear_tries", 3600.0),
        ("clear-sessions", "me_office.audit.tasks.clear_sessions", 3600.0),
        ("keep-signed-reports", "cases.packets.tasks.keep_signed_reports", 60.0),
        ("renew-certificates", "cases.signatures.tasks.renew_certificates", 3600.0),
        ("resume-packets", "cases.packets.tasks.resume_packets", 60.0),
        ("resume-answers", "cases.answers.tasks.resume_answers", 60.0),
        ("resume-copies", "evidence.measuring.tasks.resume_copies", 60.0),
        ("resume-redactions", "cases.exhibits.tasks.resume_redactions", 60.0),
        ("resume-statements", "cases.statements.tasks.resume_statements", 60.0),
        ("resume-redacted-documents", "cases.redaction.tasks.resume_redacted_documents", 60.0),
        ("resume-exhibit-pdfs", "cases.exhibits.tasks.resume_exhibit_pdfs", 60.0),
        ("derive-missing-images", "evidence.photographs.tasks.derive_missing_images", 60.0),
        ("take-in-whole-uploads", "evidence.intake.tasks.take_in_whole_uploads", 60.0),
        ("clear-uploads", "evidence.intake.tasks.clear_uploads", 3600.0),
        ("check-store", "evidence.fixity.tasks.check_store", 60.0),
        ("watch", "me_office.upkeep.tasks.watch", 60.0),
        ("mail-letters", "cases.letters.tasks.mail_letters", 60.0),
        ("daily-mails", "cases.measures.tasks.send_daily_mails", 600.0),
    )
} | {
    # A job through each queue, that says that it came through.
    f"come-through-{queue.name}": {
        "task": "me_office.upkeep.tasks.come_through",
        "schedule": 60.0,
        "kwargs": {"queue": queue.name},
        "options": {"expires": 60.0, "queue": queue.name},
    }
    for queue in CELERY_TASK_QUEUES
}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["rest_framework.authentication.SessionAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["me_office.shell.json_text.OfficeJSONParser"],
    "DEFAULT_SCHEMA_CLASS": "drf_spectacular.openapi.AutoSchema",
    "EXCEPTION_HANDLER": "me_office.shell.api.answer_error",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Medical examiner's office",
    "DESCRIPTION": "One case file from first call to testimony.",
    "VERSION": "1",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "ENUM_GENERATE_CHOICE_DESCRIPTION": False,
    # Choices stand where they are used: many records have a `kind`, and taken out of their place
    # their lists would be named by a digest that changes with the words.
    "POSTPROCESSING_HOOKS": [],
}

# Whoever is told when something is wrong; a mail server that hangs is waited for no longer.
EMAIL_TIMEOUT = 10
_mail = urlsplit(given.text("ME_MAIL_URL"))
EMAIL_BACKEND = (
    "django.core.mail.backends.smtp.EmailBackend"
    if _mail.hostname
    # A try-out writes to nobody: what would be mailed stands in its worker's log.
    else "django.core.mail.backends.console.EmailBackend"
    if EMBEDDED
    else "django.core.mail.backends.dummy.EmailBackend"
)
# Said on purpose, by the word none.
MAIL_GIVEN_UP = given.text("ME_MAIL_URL") == NO_MAIL
EMAIL_HOST = _mail.hostname or ""
EMAIL_PORT = _mail.port or MAIL_SCHEMES.get(_mail.scheme, 0)
EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = plain(_mail.username), plain(_mail.password)
EMAIL_USE_SSL = _mail.scheme == "smtps"
EMAIL_USE_TLS = _mail.scheme == "smtp" and _mail.query != "tls=no"
DEFAULT_FROM_EMAIL = SERVER_EMAIL = given.text("ME_MAIL_FROM")
# What waits, mailed to who asked for it: from which hour on, and only to the office's addresses.
DAILY_MAIL_HOUR = given.number("ME_DAILY_MAIL_HOUR")
DAILY_MAIL_DOMAINS = given.words("ME_DAILY_MAIL_DOMAINS") or [
    address.rpartition("@")[2] for address in given.words("ME_MAIL_FROM")
]
ADMINS = [(address, address) for address in given.words("ME_ADMINISTRATORS")]

LOG_LEVEL = given.text("ME_LOG_LEVEL")
# Libraries say at DEBUG and INFO what they are given.
LIBRARY_LEVEL = LOG_LEVEL if LOG_LEVEL in {"ERROR", "CRITICAL"} else "WARNING"
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"()": "me_office.logs.lines.Line"}},
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "line"}},
    "root": {"handlers": ["console"], "level": LIBRARY_LEVEL},
    "loggers": {
        **{
            name: {"level": LOG_LEVEL}
            for name in ("office", "me_office", "cases", "findings", "evidence", "celery")
        },
        # A line a job is written by `me_office.logs.jobs`, a line a request by `requests`.
        **{name: {"level": LIBRARY_LEVEL} for name in ("celery.app.trace", "celery.beat")},
        "celery.worker.strategy": {"level": LIBRARY_LEVEL},
        "django.request": {"level": "ERROR"},
        # Warns whenever a page asks for more files at once than there are threads.
        "waitress.queue": {"level": "ERROR"},
        "django.server": {"handlers": [], "level": "CRITICAL", "propagate": True},
        # Without Django's own handlers, which mail what a failed request held.
        "django": {"handlers": [], "level": LIBRARY_LEVEL, "propagate": True},
    },
}
