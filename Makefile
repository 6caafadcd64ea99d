# A fresh clone needs Python 3.11 or newer and make; the first target that wants more sets it up in .venv.

PYTHON ?= python3
BIN := .venv/bin
# What running needs, and what working on the code needs besides.
LEAN := .venv/.installed
DEV := .venv/.installed-dev
PIP := $(BIN)/python -m pip install --quiet --disable-pip-version-check
SAMPLE ?= sample_scores/ferry_waltz.musicxml
MARKED := build/$(notdir $(basename $(SAMPLE))).marked.musicxml
PORT ?= 8765
WORKERS ?= auto
# The tools for the page's JavaScript run on the node that the developers' tools bring along.
NODE := $(abspath $(BIN))/node
PAGE := service/web
PAGE_TOOLS := $(PAGE)/node_modules/.installed
EDITOR_PROGRAMS := $(and $(shell command -v musescore3),$(shell command -v Xvfb),$(shell command -v xdotool))
CHROMIUM := $(shell command -v chromium || command -v chromium-browser || command -v google-chrome)

# Each runs its own chromium and its own server.
BROWSERS ?= $(WORKERS)
# Which of the browser tests: all, or "browser and main_job" for the main job alone.
BROWSER_TESTS ?= browser
# Tests start the program in hundreds of processes. They read its compiled modules, so these have to be kept.
unexport PYTHONDONTWRITEBYTECODE

.DEFAULT_GOAL := help
.PHONY: help messages venv run serve test test-all tests check lint types contracts page browser editor mutants coverage bench docs rule soak audit clean

help: ## this list
	@grep -E '^[a-z-]+:.*## ' $(MAKEFILE_LIST) | sed -E 's/^([a-z-]+):.*## /  make \1\t/' | expand -t 18

venv: $(DEV) ## set up .venv with the tools for developers (every other target does it by itself)

$(BIN)/python:
	@$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "handframe needs Python 3.11 or newer; name one with: make PYTHON=python3.12")'
	$(PYTHON) -m venv .venv

$(LEAN): pyproject.toml | $(BIN)/python
	$(PIP) --editable .
	@touch $@

$(DEV): pyproject.toml | $(BIN)/python
	$(PIP) --editable '.[dev]'
	@touch $(LEAN) $@

run: $(LEAN) ## mark a sample score and print its review (SAMPLE=file for another)
	@mkdir -p build
	@$(BIN)/handframe annotate $(SAMPLE) -o $(MARKED)
	@$(BIN)/handframe review --fail-on error $(SAMPLE)
	@echo
	@echo "The marked part is in $(MARKED): open it in any notation program."

serve: $(LEAN) ## the page and the HTTP service on this machine (PORT=8765)
	$(BIN)/handframe serve --port $(PORT)

test: $(DEV) $(PAGE_TOOLS) ## before every commit, a few minutes: lint, types, contracts, the page, tests, the main job in chromium
	@$(MAKE) --no-print-directory --jobs 2 --keep-going tests lint types contracts page browser BROWSERS=0 BROWSER_TESTS="browser and main_job"

test-all: test ## what the pipeline runs: test, then the long tests, the whole page in chromium, a real notation editor
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal -m long
	@$(MAKE) --no-print-directory browser BROWSER_TESTS="browser and not main_job"
	@$(MAKE) --no-print-directory editor

tests: $(DEV) ## the tests alone, without the long ones and those in a browser or an editor
	$(BIN)/python -m pytest -n $(WORKERS) --dist worksteal

browser: $(DEV) ## the tests that drive a real chromium
ifeq ($(CHROMIUM),)
	@echo "NOT RUN: the browser tests, since no chromium is installed (.ci/run installs it; on Debian: apt-get install chromium chromium-driver)"
else
	$(BIN)/python -m pytest -m "$(BROWSER_TESTS)" -n $(BROWSERS) tests/browser
endif

editor: $(DEV) ## the tests that drive a real notation editor
ifeq ($(EDITOR_PROGRAMS),)
	@echo "NOT RUN: the editor tests, since MuseScore 3, Xvfb or xdotool is not installed (.ci/run installs them)"
else
	$(BIN)/python -m pytest -m editor -n 0 tests/editor
endif

check: lint types contracts ## ruff, mypy, import contracts

lint: $(DEV) ## ruff: faults and layout
	$(BIN)/ruff check .
	$(BIN)/ruff format --check .

types: $(DEV) ## mypy, strict
	$(BIN)/mypy

contracts: $(DEV) ## who may import whom
	$(BIN)/lint-imports

$(PAGE_TOOLS): $(PAGE)/package.json $(PAGE)/package-lock.json $(DEV)
	cd $(PAGE) && $(abspath $(BIN))/npm ci --silent
	@touch $@

page: $(PAGE_TOOLS) ## the page's JavaScript: linter and layout, types, unit tests
	cd $(PAGE) && $(NODE) node_modules/.bin/biome ci --error-on-warnings . ../../tests/page
	cd $(PAGE) && $(NODE) node_modules/.bin/tsc --project .
	cd $(PAGE) && $(NODE) node_modules/.bin/tsc --project ../../tests/page
	$(NODE) --test --test-reporter=dot --experimental-test-coverage --test-coverage-include='$(PAGE)/static/**' \
		--test-coverage-lines=99 --test-coverage-branches=95 'tests/page/**/*.test.js'

mutants: $(DEV) ## do the tests notice a change? (PACKAGE=hand for one package, TENTHS=1 for every tenth change)
	$(BIN)/python -m tests.mutation $(PACKAGE) $(if $(TENTHS),--tenths $(TENTHS))

coverage: $(DEV) ## which lines and branches the tests reach; fails below the floor in pyproject.toml
	@mkdir -p build
	$(BIN)/python -m pytest -n $(WORKERS) -m "not (slow or benchmark or browser or editor)" --cov --cov-report=term-missing:skip-covered

bench: $(DEV) ## time and memory, as ratios to reference work in the same run
	$(BIN)/python -m pytest -m benchmark -s tests/benchmarks

soak: $(DEV) ## the long tests: whole collections (HANDFRAME_COLLECTIONS=folder for your own), new random examples for every law
	HYPOTHESIS_PROFILE=soak $(BIN)/python -m pytest -m "slow or not (slow or benchmark or browser or editor)" -n $(WORKERS) --ignore tests/soak/test_load.py
	$(BIN)/python -m pytest -m slow tests/soak/test_load.py
	$(BIN)/python -m tests.soak.fuzz_bytes 1000000 7200

audit: $(DEV) ## known faults of the dependencies, as PyPI lists them (needs the network)
	$(BIN)/pip-audit --skip-editable

docs: $(DEV) ## write what is generated: the rule reference, the tables of options and settings, the page's options
	$(BIN)/python -m tests.rule_reference
	$(BIN)/python -m tests.option_tables
	$(BIN)/python -m tests.glossary_page

messages: $(DEV) ## collect the shown texts, and bring the catalogues of translations up to date
	$(BIN)/python -m tests.message_catalogues

rule: $(DEV) ## start a rule: make rule ID=held-open-string
	@test -n "$(ID)" || { echo "name the rule: make rule ID=held-open-string" >&2; exit 2; }
	$(BIN)/python -m tests.new_rule $(ID)

clean: ## remove what was built, keep .venv
	rm -rf build dist .pytest_cache .mypy_cache .ruff_cache .import_linter_cache
