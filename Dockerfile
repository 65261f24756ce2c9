FROM python:3.12-slim

# The typeface of labels and sheets.
RUN apt-get update \
    && apt-get install --yes --no-install-recommends fonts-dejavu-core \
    && rm -rf /var/lib/apt/lists/*

RUN useradd --create-home --uid 10001 wickline && install -d -o wickline -g wickline /data
WORKDIR /app
COPY requirements.txt ./
RUN pip install --no-cache-dir --requirement requirements.txt
COPY manage.py ./
COPY shop shop
COPY api api
COPY customer_portal customer_portal

ENV PYTHONUNBUFFERED=1 WICKLINE_DATA_DIR=/data
USER wickline
VOLUME /data
EXPOSE 8000
