# Billowbook: `make demo` to try it, `make test` to prove it. `make help` lists the rest.
SHELL := /bin/bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help
.ONESHELL:

PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
INSTALL := $(BIN)/python -m pip install -qq --require-hashes
NODE := requirements/node
NODE_BIN := $(NODE)/node_modules/.bin
REQUIREMENTS := requirements/core.txt requirements/local.txt requirements/plan.txt

# make demo
PORT ?= 8000
FRESH ?=
FOLDER ?=

# make test, make bench. Two processes more than two cores: the two that share the journeys often wait for a browser.
WORKERS ?= 4
IN_PARALLEL = -n $(WORKERS) --max-worker-restart=0
ARGS ?=

export PIP_DISABLE_PIP_VERSION_CHECK := 1
# Whatever the shell says, modules are compiled once and kept: else each process of a test run compiles all of them.
export PYTHONDONTWRITEBYTECODE :=

.PHONY: help env env-test env-dev env-node env-render demo test test-render test-scripts check check-scripts \
  check-models check-templates check-unused check-django coverage bench mutants load load-compare load-shelf \
  load-two load-growth client-open shots messages pins

help: ## say what there is
	@awk -F':.*## ' '/^[a-z-]+:.*## /{printf "  make %-13s %s\n", $$1, $$2}' $(MAKEFILE_LIST)

demo: env ## start everything with the demo's studios (PORT=8000, FRESH=1 starts over), until Ctrl-C
	@$(MAKE) --no-print-directory env-render || \
	  echo "== Without lifelike pictures: their renderer can't be installed here"
	exec $(BIN)/python -m studio.local demo --port $(PORT) $(if $(filter-out 0,$(FRESH)),--fresh) \
	  $(if $(FOLDER),--folder $(FOLDER))

test: env-test ## run every test (ARGS="-k garland" narrows them)
	@$(BIN)/python -m studio.local packages --browser --node
	scripts=0 others=0
	if [ -z '$(ARGS)' ]; then
	  echo "== Script modules"
	  $(MAKE) --no-print-directory test-scripts || scripts=$$?
	fi
	echo "== Everything else, journeys in a real browser among it"
	$(BIN)/python -m pytest $(IN_PARALLEL) -m "not bench and not render" --durations=20 $(ARGS) || others=$$?
	exit $$(( scripts ? scripts : others ))

test-render: env-test env-render ## render small pictures and look at what is in them
	@exec $(BIN)/python -m pytest -m render -n 0 tests/quoting/stills $(ARGS)

test-scripts: ## run the tests of the script modules alone (needs Node.js, and no package of it)
	@exec node --no-warnings --experimental-vm-modules --test --test-reporter=spec tests/scripts/test_*.mjs

check: env-dev check-scripts check-models check-templates check-unused ## style, types, imports, models, migrations
	@$(BIN)/ruff check .
	$(BIN)/ruff format --check .
	$(BIN)/lint-imports
	$(BIN)/python -m studio.local packages
	exec $(BIN)/python -m studio.local services -- $(MAKE) --no-print-directory check-django

check-scripts: env-node
	@$(NODE_BIN)/eslint -c $(NODE)/eslint.config.js .
	$(NODE_BIN)/stylelint --config $(NODE)/stylelint.config.js --formatter unix "*/static/**/*.css"

# Every model that the product writes, against the glTF specification.
check-models: env-dev env-node
	@$(BIN)/python -m tests.valid_models

check-templates: env-dev
	@$(BIN)/djlint --lint --quiet --rules templates/lint_rules.yaml templates

# Product code that product code uses: tests are left out on purpose.
check-unused: env-dev
	@$(BIN)/python -m tests.unused_code

# As in production, with services that last as long as the check.
check-django: export SECRET_KEY := $(shell od -An -N32 -tx1 /dev/urandom | tr -d ' \n')
check-django: export ALLOWED_HOSTS := billowbook.example
check-django: export SITE_URL := https://billowbook.example
check-django: export DJANGO_SETTINGS_MODULE := studio.settings
check-django:
	@$(BIN)/python -W error manage.py makemigrations --check --dry-run
	DATABASE_URL="$$OWNER_DATABASE_URL" BILLOWBOOK_AS_OWNER=1 $(BIN)/python manage.py migrate --no-input --verbosity 0
	$(BIN)/python -W error manage.py check --deploy --fail-level WARNING --database default
	$(BIN)/mypy

coverage: env-test ## what the tests reach, lines and branches, by room and feature; the domain's bar is 90 %
	@$(BIN)/python -m studio.local packages --node
	$(BIN)/python -m pytest $(IN_PARALLEL) -q --cov --cov-branch --cov-report= $(ARGS)
	exec $(BIN)/python -m tests.coverage_by_room

bench: env-test ## measure how long things take (BENCH_HISTORY=1 keeps it in docs/bench-history.csv)
	@exec $(BIN)/python -m pytest -m bench -n 0 -s --benchmark-enable --benchmark-columns=min,median,max,rounds $(ARGS)

messages: env-test ## bring the catalogues of locale/ up to date with the source; translate what is empty
	@exec $(BIN)/python -m tests.messages

mutants: env-test ## change rules in small ways; list what no test notices (ARGS="stock/ledger --sample 40")
	@exec $(BIN)/python -m tests.faults.mutants $(ARGS)

load: env-test ## many owners editing quotes at once (ARGS="--owners 50 --seconds 30 --beside tables")
	@exec $(BIN)/python -m tests.bench.load_quotes $(ARGS)

load-compare: env-test ## the same against two trees in turn (ARGS="../before . -- --seconds 60")
	@exec $(BIN)/python -m tests.bench.compare_load $(ARGS)

load-shelf: env-test ## the shelf with 2,000 items and a million ledger rows (ARGS="--rounds 40")
	@exec $(BIN)/python -m tests.bench.load_stock $(ARGS)

load-two: env-test ## with a second web server, worker and a read replica: what each brings (ARGS="--owners 8")
	@exec $(BIN)/python -m tests.bench.load_two $(ARGS)

load-growth: env-test ## pages with 1 to 300 studios and 1 to 10 years behind them (ARGS="--plans")
	@exec $(BIN)/python -m tests.bench.load_growth $(ARGS)

client-open: env-test ## a client's page on a slow phone: when it is drawn, whether it moves, how presses are felt
	@exec $(BIN)/python -m tests.bench.client_open $(ARGS)

shots: env-test ## screenshots of every page, three widths, light and dark, into shots/
	@$(BIN)/python -m studio.local packages --browser
	exec $(BIN)/python -m tests.browser.shots $(ARGS)

env: $(VENV)/.core ## make .venv from the hashed pins of requirements/
env-test: $(VENV)/.test
env-dev: $(VENV)/.dev
env-node: $(NODE)/node_modules/.installed
env-render: $(VENV)/.render ## add the renderer of lifelike pictures to .venv (100 MB to download)

$(BIN)/pip:
	@echo "== Making the Python environment in $(VENV)"
	"$(PYTHON)" -c 'import sys; sys.exit(sys.version_info < (3, 11))' || {
	  echo "Billowbook needs Python 3.11 or newer. Name one: make PYTHON=/path/to/python3 $(MAKECMDGOALS)"
	  exit 1
	}
	if ! "$(PYTHON)" -c 'import ensurepip' 2>/dev/null; then
	  as_root=""
	  [ "$$(id -u)" = 0 ] || as_root=sudo
	  if ! command -v apt-get >/dev/null || { [ -n "$$as_root" ] && ! command -v sudo >/dev/null; }; then
	    echo "$(PYTHON) cannot make environments. On Debian or Ubuntu, as root: apt-get install python3-venv"
	    exit 1
	  fi
	  echo "== Installing python3-venv"
	  $$as_root apt-get -qq update
	  $$as_root env DEBIAN_FRONTEND=noninteractive apt-get -qq -y install --no-install-recommends python3-venv >/dev/null
	fi
	"$(PYTHON)" -m venv --clear $(VENV)

$(VENV)/.core: $(REQUIREMENTS) | $(BIN)/pip
	@echo "== Installing what the product runs on, from hashed pins (the first time takes a minute)"
	$(INSTALL) $(addprefix -r ,$(REQUIREMENTS))
	touch $@

$(VENV)/.test: requirements/test.txt $(VENV)/.core
	@echo "== Installing what the tests need, from hashed pins"
	$(INSTALL) $(addprefix -r ,$(REQUIREMENTS) requirements/test.txt)
	touch $@

$(VENV)/.render: requirements/render.txt $(VENV)/.core
	@echo "== Installing the renderer of lifelike pictures, from hashed pins"
	$(INSTALL) --no-deps -r requirements/render.txt
	touch $@

$(VENV)/.dev: requirements/dev.txt $(VENV)/.test
	@echo "== Installing what a contributor needs, from hashed pins"
	$(INSTALL) $(addprefix -r ,$(REQUIREMENTS) requirements/test.txt requirements/dev.txt)
	touch $@

$(NODE)/node_modules/.installed: $(NODE)/package-lock.json $(NODE)/.npmrc | $(VENV)/.core
	@$(BIN)/python -m studio.local packages --npm
	echo "== Installing the linters of scripts and styles and the validator of models, from hashed pins"
	npm --prefix $(NODE) ci --silent
	touch $@

# The renderer asks for a library of graphics cards, 200 MB, that it doesn't need on a processor: left out.
pins: ## compile requirements/*.in anew (needs uv), with hashes and without index addresses
	@for layer in core local plan render test dev; do
	  uv pip compile --universal --python-version 3.11 --fork-strategy fewest --generate-hashes \
	    --no-emit-index-url --no-header --no-annotate --upgrade --quiet \
	    --no-emit-package nvidia-cuda-nvrtc-cu12 \
	    requirements/$$layer.in -o requirements/$$layer.txt
	done
