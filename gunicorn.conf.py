"""What gunicorn reads by itself where it is started in this folder."""

logger_class = "me_office.logs.web.ServerLog"
