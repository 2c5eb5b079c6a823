# The image of web, worker and beat. Two stages: what builds the environment is not in what runs.
FROM python:3.11-slim-bookworm AS build
WORKDIR /srv/resinwright
COPY requirements.txt ./
RUN python -m venv .venv \
 && .venv/bin/python -m pip install --no-cache-dir --disable-pip-version-check --no-deps --require-hashes -r requirements.txt

FROM python:3.11-slim-bookworm
# Pango and a font for the PDFs.
RUN apt-get update \
 && apt-get install -y --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fonts-dejavu-core \
 && rm -rf /var/lib/apt/lists/* \
 && useradd --system --create-home --home-dir /home/resinwright --uid 10001 resinwright
WORKDIR /srv/resinwright
ENV PATH=/srv/resinwright/.venv/bin:$PATH PYTHONUNBUFFERED=1 PYTHONDONTWRITEBYTECODE=1 RESINWRIGHT_PRODUCTION=1
COPY --from=build /srv/resinwright/.venv .venv
COPY manage.py pyproject.toml ./
COPY scripts/healthz.py scripts/healthz.py
COPY config config
COPY jobs jobs
COPY stock stock
COPY quotes quotes
COPY templates templates
# The static files are part of the image; the secret of this step is thrown away with it.
RUN RESINWRIGHT_STATIC_ROOT=/srv/resinwright/staticfiles RESINWRIGHT_SECRET_KEY=only-for-collecting-the-static-files python manage.py collectstatic --no-input \
 && mkdir -p var && chown -R resinwright:resinwright var
ENV RESINWRIGHT_STATIC_ROOT=/srv/resinwright/staticfiles
USER resinwright
EXPOSE 8000
CMD ["gunicorn", "config.wsgi:application", "--bind", "0.0.0.0:8000"]
