# One image for web, worker, beat and the one-shot that migrates; docker-compose.yml says which command is which.
FROM python:3.12-slim-bookworm AS packages
ENV PIP_DISABLE_PIP_VERSION_CHECK=1 PIP_NO_CACHE_DIR=1
RUN python -m venv /opt/billowbook
COPY requirements/core.txt requirements/render.txt /tmp/
RUN /opt/billowbook/bin/pip install --require-hashes -r /tmp/core.txt
# "render" adds the renderer of lifelike pictures, for the worker that makes them.
ARG EXTRA=""
RUN if [ "$EXTRA" = render ]; then /opt/billowbook/bin/pip install --require-hashes --no-deps -r /tmp/render.txt; fi

FROM python:3.12-slim-bookworm
# Pango and what it needs, for the PDF pages, and letters for names in any script.
RUN apt-get update \
    && apt-get install -y --no-install-recommends libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0 fontconfig \
        fonts-noto-core fonts-wqy-microhei \
    && rm -rf /var/lib/apt/lists/* \
    && useradd --system --uid 10001 --user-group --no-create-home --shell /usr/sbin/nologin billowbook
COPY --from=packages /opt/billowbook /opt/billowbook
WORKDIR /srv/billowbook
COPY manage.py gunicorn.conf.py ./
COPY studio ./studio
COPY stock ./stock
COPY events ./events
COPY quoting ./quoting
COPY templates ./templates
COPY locale ./locale
ENV PATH=/opt/billowbook/bin:$PATH \
    PYTHONUNBUFFERED=1 \
    DJANGO_SETTINGS_MODULE=studio.settings \
    STATIC_ROOT=/srv/billowbook-static \
    XDG_CACHE_HOME=/tmp/cache
# The static files belong to the image. The values are placeholders for this one command; none is kept.
RUN SECRET_KEY="$(python -c 'import secrets; print(secrets.token_hex(32))')" \
    DATABASE_URL=postgresql://nobody@localhost/none REDIS_URL=redis://localhost \
    ALLOWED_HOSTS=localhost SITE_URL=https://localhost \
    python manage.py collectstatic --no-input \
    && python -m compileall -q studio stock events quoting
USER billowbook
EXPOSE 8000
# /health/ asks the database too. Django answers only to the names it was told, hence the Host header.
HEALTHCHECK --interval=30s --timeout=10s --start-period=30s CMD ["python", "-c", "\
import http.client, os; \
c = http.client.HTTPConnection('127.0.0.1', 8000, timeout=8); \
c.request('GET', '/health/', headers={'Host': os.environ['ALLOWED_HOSTS'].split(',')[0]}); \
raise SystemExit(c.getresponse().status != 200)"]
CMD ["gunicorn", "--config=gunicorn.conf.py", "--bind=0.0.0.0:8000", "--worker-tmp-dir=/dev/shm"]
