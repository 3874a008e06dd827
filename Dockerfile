# One image for web, worker, beat and the migrations; docker-compose.yml says which is which.
FROM python:3.11-slim

ENV PYTHONUNBUFFERED=1 \
    PYTHONDONTWRITEBYTECODE=1 \
    PIP_NO_CACHE_DIR=1 \
    PIP_DISABLE_PIP_VERSION_CHECK=1 \
    ME_DATA_DIR=/srv/office/data \
    ME_FILE_STORE=/srv/office/files

# pg_dump of the server's own version, for backups: from PostgreSQL's own packages.
# hadolint ignore=DL3008
RUN apt-get update \
    && apt-get install -y --no-install-recommends ca-certificates postgresql-common \
    && /usr/share/postgresql-common/pgdg/apt.postgresql.org.sh -y \
    && apt-get install -y --no-install-recommends postgresql-client-18 \
    && rm -rf /var/lib/apt/lists/*

RUN groupadd --system --gid 10001 office \
    && useradd --system --uid 10001 --gid 10001 --home-dir /srv/office \
       --shell /usr/sbin/nologin office

WORKDIR /srv/office/service
# Only what serves: the embedded servers and the checks stay out of the image.
COPY requirements.txt ./
RUN sed '/^# --- embedded servers/,$d' requirements.txt > /tmp/serving.txt \
    && pip install -r /tmp/serving.txt && rm /tmp/serving.txt

COPY manage.py gunicorn.conf.py ./
COPY me_office me_office
COPY cases cases
COPY findings findings
COPY evidence evidence

# Collected with throw-away settings: nothing is reached, and no secret enters the image.
RUN mkdir -m 700 "$ME_DATA_DIR" "$ME_FILE_STORE" /srv/office/unfinished \
    && DATABASE_URL=postgresql://build/none REDIS_URL=redis://build/0 \
       ME_SECRET_KEY="$(python -c 'import secrets; print(secrets.token_urlsafe(60))')" \
       ME_HOSTS=build.invalid ME_ORIGINS=https://build.invalid OFFICE_NAME=None \
       OFFICE_ADDRESS=Nowhere OFFICE_AUTHORITY=None OFFICE_TIME_ZONE=Etc/UTC \
       python manage.py collectstatic --noinput --verbosity 0 \
    && chown -R office:office "$ME_DATA_DIR" "$ME_FILE_STORE" /srv/office/unfinished

USER 10001:10001
EXPOSE 8000
CMD ["gunicorn", "me_office.wsgi", "-k", "me_office.serve.BufferingWorker", \
     "--bind=0.0.0.0:8000", "--workers=3", "--threads=4", \
     "--worker-tmp-dir=/dev/shm", "--no-control-socket", "--access-logfile=-"]
