# Bracket Ledger: each target is one command, and does all it needs on a fresh machine.
SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help
PORT ?= 8000
PYTHON ?= $(shell for p in python3.11 python3.12 python3.13 python3; do command -v $$p && break; done)
PY := .venv/bin/python
DEMO := LEDGER_VAR=var/demo
CLUB := LEDGER_VAR=$${LEDGER_VAR:-var/club}
WORKERS ?= 2
FINDS ?= 1000000

.PHONY: help setup demo run test browser test-postgres check format soak bench bench-first-load bench-phone-check bench-photos bench-scale lighthouse chromium node clean-demo

help:  ## this list
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:[^#]*## /\t/' | expand -t 16

setup: .venv/ready  ## virtual environment with the locked dependencies (demo, run and test share it)

.venv/ready: requirements-dev.lock
	@test -n "$(PYTHON)" || { echo "No python3 found. Install Python 3.11 or newer, then run make again."; exit 1; }
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "$(PYTHON) is too old. Install Python 3.11 or newer, or name one: make setup PYTHON=/path/to/python3.11"; exit 1; }
	$(PYTHON) -m venv .venv
	$(PY) -m pip install --quiet --disable-pip-version-check --require-hashes -r requirements-dev.lock
	@touch $@

demo: setup  ## the demo club on http://127.0.0.1:8000, made anew where it is missing
	@$(DEMO) $(PY) manage.py migrate --verbosity 0
	@$(DEMO) $(PY) manage.py load_reference
	@$(DEMO) $(PY) manage.py demo
	@$(DEMO) $(PY) manage.py collectstatic --noinput --verbosity 0
	@$(DEMO) $(PY) manage.py demo --who --address http://127.0.0.1:$(PORT)
	@$(DEMO) .venv/bin/gunicorn -c python:ledger.serving --bind 127.0.0.1:$(PORT) ledger.wsgi

clean-demo:  ## throw the demo club away, so that the next make demo makes it anew
	rm -rf var/demo

run: setup  ## your own club, empty at first; its first keeper signs up by the link printed here
	@$(CLUB) $(PY) manage.py migrate --verbosity 0
	@$(CLUB) $(PY) manage.py load_reference
	@$(CLUB) $(PY) manage.py collectstatic --noinput --verbosity 0
	@$(CLUB) $(PY) manage.py first_keeper --address http://127.0.0.1:$(PORT)
	@$(CLUB) .venv/bin/gunicorn -c python:ledger.serving --bind 127.0.0.1:$(PORT) ledger.wsgi

test: setup chromium node  ## every test, the browser ones included
	LEDGER_VAR=var/test $(PY) -m pytest -n $(WORKERS) --dist loadgroup

browser: setup chromium  ## only the tests that drive Chromium
	LEDGER_VAR=var/test $(PY) -m pytest -m browser

test-postgres: setup chromium node  ## the same suite on a PostgreSQL of its own, started and ended here
	.ci/postgres "LEDGER_VAR=var/test $(PY) -m pytest -n $(WORKERS) --dist loadgroup"

check: setup  ## style, types, and models against migrations
	.venv/bin/ruff check .
	.venv/bin/ruff format --check .
	.venv/bin/mypy
	LEDGER_VAR=var/test $(PY) manage.py makemigrations --check --dry-run

format: setup  ## put the code into its form
	.venv/bin/ruff check --fix .
	.venv/bin/ruff format .

soak: setup chromium  ## 1,000 vouchers by shells and browsers, 64 writers, 50 kills, on SQLite and on PostgreSQL (half an hour)
	SOAK=whole LEDGER_VAR=var/soak $(PY) -m pytest tests/vouchers/test_soak.py
	.ci/postgres "SOAK=whole LEDGER_VAR=var/soak $(PY) -m pytest tests/vouchers/test_soak.py"

bench: setup  ## ratios: saving a find, checks per second, labels per run
	LEDGER_VAR=var/bench $(PY) -m tests.bench

bench-photos: setup  ## the report on measuring on photographs, drawn ones of known truth (half an hour; WRITE=--write keeps it)
	OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1 $(PY) -m tests.bench.photographs $(WRITE)

bench-scale: setup  ## 1,000,000 finds against 10,000, on SQLite and on PostgreSQL (an hour; 20 GB; FINDS=100000 for less; WRITE=--write keeps it)
	LEDGER_VAR=var/bench $(PY) -m tests.bench.scale --large $(FINDS) $(WRITE)
	.ci/postgres "LEDGER_VAR=var/bench $(PY) -m tests.bench.scale --large $(FINDS) $(WRITE)"

bench-phone-check: setup chromium  ## a whole check in Chromium slowed four times
	LEDGER_VAR=var/bench $(PY) -m tests.bench.phone_check

bench-first-load: setup chromium  ## the first load of the form on a slow phone: bytes by kind, and when it can be used
	LEDGER_VAR=var/bench $(PY) -m tests.bench.first_load

lighthouse: setup chromium  ## Lighthouse on the form (Node 18.20 or newer with npm)
	@command -v npm >/dev/null || { echo "npm is missing. Install Node 18.20 or newer, then run make lighthouse again."; exit 1; }
	cd tests/lighthouse && npm ci --silent --no-audit --no-fund --ignore-scripts
	LEDGER_VAR=var/bench $(PY) -m tests.lighthouse

chromium:
	@for name in chromium chromium-browser google-chrome; do command -v $$name >/dev/null && exit 0; done; \
	run=""; test "$$(id -u)" = 0 || run=sudo; \
	command -v apt-get >/dev/null || { echo "Chromium is missing and this system has no apt-get. Install Chromium, then run make again."; exit 1; }; \
	echo "Chromium is missing; installing it by the system's packages"; \
	$$run apt-get update -qq && DEBIAN_FRONTEND=noninteractive $$run apt-get install -qq -y --no-install-recommends chromium >/dev/null

# The rules of the phone are tested in Node 18 or newer.
node:
	@command -v node >/dev/null && exit 0; \
	run=""; test "$$(id -u)" = 0 || run=sudo; \
	command -v apt-get >/dev/null || { echo "Node is missing and this system has no apt-get. Install Node 18 or newer, then run make again."; exit 1; }; \
	echo "Node is missing; installing it by the system's packages"; \
	$$run apt-get update -qq && DEBIAN_FRONTEND=noninteractive $$run apt-get install -qq -y --no-install-recommends nodejs >/dev/null
