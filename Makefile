# Billowbook: `make demo` to try it, `make test` to prove it. `make help` lists the rest.
SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help
.ONESHELL:

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
export PIP_DISABLE_PIP_VERSION_CHECK := 1

.PHONY: help env env-test env-dev pins

help: ## say what there is
	@awk -F':.*## ' '/^[a-z-]+:.*## /{printf "  make %-8s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

env: $(VENV)/.core ## make .venv from the hashed pins of requirements/core.txt
env-test: $(VENV)/.test
env-dev: $(VENV)/.dev

$(BIN)/python:
	@echo "== Making the Python environment in $(VENV)"
	"$(PYTHON)" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || { echo "Billowbook needs Python 3.11 or newer; say which with make PYTHON=/path/to/python3"; exit 1; }
	"$(PYTHON)" -m venv $(VENV)

$(VENV)/.core: requirements/core.txt | $(BIN)/python
	@echo "== Installing what the product runs on (hashed pins)"
	$(BIN)/python -m pip install -qq --require-hashes -r requirements/core.txt
	touch $@

$(VENV)/.test: requirements/test.txt $(VENV)/.core
	@echo "== Installing what the tests need (hashed pins)"
	$(BIN)/python -m pip install -qq --require-hashes -r requirements/core.txt -r requirements/test.txt
	touch $@

$(VENV)/.dev: requirements/dev.txt $(VENV)/.test
	@echo "== Installing what a contributor needs (hashed pins)"
	$(BIN)/python -m pip install -qq --require-hashes -r requirements/core.txt -r requirements/test.txt -r requirements/dev.txt
	touch $@

pins: ## compile requirements/*.in anew, with hashes and without index addresses
	for layer in core test dev; do
	  uv pip compile --universal --python-version 3.11 --fork-strategy fewest --generate-hashes \
	    --no-emit-index-url --no-header --no-annotate --upgrade --quiet \
	    requirements/$$layer.in -o requirements/$$layer.txt
	done
