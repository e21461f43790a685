# Every routine command of the project. `make help` lists them; `.ci/run` calls the same ones.
# A bare machine needs python3 (3.11 or later) with venv, and make. On Debian: python3 python3-venv make.
# macOS: untested.

.DEFAULT_GOAL := help
.DELETE_ON_ERROR:
.PHONY: help run test check format lint types slow long browser bench fit validate docs lock clean

VENV := .venv
BENCH_VENV := .venv-bench
BIN := $(VENV)/bin
RUN_READY := $(VENV)/.ready-run
DEV_READY := $(VENV)/.ready-dev
BENCH_READY := $(BENCH_VENV)/.ready-bench
PIP := -m pip --disable-pip-version-check install --quiet --quiet --progress-bar off
CARD := out/saturday-card.pdf

help: ## list these commands
	@sed -nE 's/^([a-z]+):[^#]*## (.*)/\1|\2/p' $(firstword $(MAKEFILE_LIST)) | awk -F'|' '{ printf "  make %-8s %s\n", $$1, $$2 }'

run: $(RUN_READY) ## install, plan the example bowl, write its card, then serve a kitchen to look around in
	@mkdir -p $(dir $(CARD))
	@$(BIN)/temperbench plan examples/saturday.toml --card $(CARD)
	@echo "The card to print: $(CURDIR)/$(CARD)"
	@echo "Now serving an invented kitchen; stop it with Ctrl-C."
	@$(BIN)/temperbench serve --demo --book out/demo.book

test: $(DEV_READY) ## the fast suite (six minutes on two cores once installed)
	@$(BIN)/python -m pytest -n auto -m "not slow and not long and not browser"

check: lint types $(DEV_READY) ## everything: format, lint, types, contracts, all tests with the slow ones
	@$(BIN)/python -m pytest

lint: $(DEV_READY) ## format and lint rules, changing nothing
	@$(BIN)/ruff format --check
	@$(BIN)/ruff check

types: $(DEV_READY) ## mypy, strict
	@$(BIN)/mypy

format: $(DEV_READY) ## put the layout of the code right
	@$(BIN)/ruff format
	@$(BIN)/ruff check --fix

slow: $(DEV_READY) ## only the tests that take minutes
	@$(BIN)/python -m pytest -n auto -m "slow and not browser"

long: $(DEV_READY) ## calibration over many kitchens and cups, 300 kills of the server (an hour and more)
	@$(BIN)/python -m pytest -n auto -m long

browser: $(DEV_READY) ## journeys through the pages in Debian's Chromium (package chromium)
	@$(BIN)/python -m pytest -m browser

bench: $(BENCH_READY) ## error against time, ours and the peers' (own environment: .venv-bench)
	@$(BENCH_VENV)/bin/python benchmarks/run.py

fit: $(DEV_READY) ## fit again the rows of the tables whose basis is "fitted"
	@$(BIN)/python scripts/fit.py

validate: $(DEV_READY) ## compute every table of docs/validation.md again (about ten minutes)
	@$(BIN)/python scripts/validate.py --write

docs: $(DEV_READY) ## write what pages take from the code: the command line, the modules, the methods, the session in README.md
	@$(BIN)/python scripts/cli_docs.py
	@$(BIN)/python scripts/module_map.py
	@$(BIN)/python scripts/methods_page.py
	@$(BIN)/python scripts/readme_session.py

lock: ## freeze requirements-dev.lock again from a clean environment
	@sh scripts/lock.sh

clean: ## remove environments, caches and written cards
	@rm -rf $(VENV) $(BENCH_VENV) out build dist .pytest_cache .mypy_cache .ruff_cache .hypothesis
	@find src tests scripts benchmarks -name __pycache__ -type d -prune -exec rm -rf {} +

$(BIN)/pip:
	@python=$$(sh scripts/find_python.sh) && echo "[1/3] Making $(VENV) with $$python" && "$$python" -m venv $(VENV)

$(RUN_READY): $(BIN)/pip requirements-dev.lock pyproject.toml
	@echo "[2/3] Installing temperbench and its runtime packages (about 455 MB on disk; a minute or so)"
	@$(BIN)/python $(PIP) --constraint requirements-dev.lock --editable .
	@touch $@

$(DEV_READY): $(RUN_READY) requirements-dev.lock
	@echo "[3/3] Installing what the tests and checks need (about 100 MB more)"
	@$(BIN)/python $(PIP) --requirement requirements-dev.lock
	@touch $@

$(BENCH_VENV)/bin/pip:
	@python=$$(sh scripts/find_python.sh) && echo "[1/2] Making $(BENCH_VENV) with $$python" && "$$python" -m venv $(BENCH_VENV)

$(BENCH_READY): $(BENCH_VENV)/bin/pip requirements-bench.lock pyproject.toml
	@echo "[2/2] Installing the peers (about 1 GB on disk; a few minutes)"
	@$(BENCH_VENV)/bin/python $(PIP) --requirement requirements-bench.lock --editable .
	@touch $@
