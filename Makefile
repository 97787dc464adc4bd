# Two commands matter: `make demo` and `make test`. Each sets up .venv by itself; only Python 3.11, make and a
# package index are needed. Everything else here is for people who work on Evenground.

PYTHON ?= python3.11
PYTHON := $(shell command -v $(PYTHON) || command -v python3)
VENV := .venv
BIN := $(VENV)/bin
RUN := $(BIN)/python
OUT ?= demo-out
WORKERS ?= 2
# Browser tests keep an event loop of their own running, which Django's own tests must not find in their process.
BROWSER := tests/studio/browser
# The number of threads a numerical library may start: results do not depend on it, the clock does.
export OMP_NUM_THREADS ?= 1

.PHONY: setup demo test prove check format bench lock clean
.DEFAULT_GOAL := help

help:  ## show what each target does
	@grep -hE '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed -E 's/:.*## / - /'

$(VENV)/.uv:
	$(PYTHON) -c 'import sys; sys.exit(sys.version_info < (3, 11) and "Evenground needs Python 3.11 or newer")'
	$(PYTHON) -m venv $(VENV)
	$(RUN) -m pip install --quiet --disable-pip-version-check --no-deps --require-hashes -r requirements-uv.lock
	@touch $@

$(VENV)/.run: $(VENV)/.uv requirements.lock pyproject.toml
	$(BIN)/uv pip install --quiet --compile-bytecode --python $(RUN) --require-hashes -r requirements.lock
	$(BIN)/uv pip install --quiet --python $(RUN) --no-deps --editable .
	@touch $@

$(VENV)/.dev: $(VENV)/.run requirements-dev.lock
	$(BIN)/uv pip install --quiet --compile-bytecode --python $(RUN) --require-hashes -r requirements-dev.lock
	@touch $@

setup: $(VENV)/.dev  ## install everything that running and developing need

demo: $(VENV)/.run  ## open the app on an invented studio; HEADLESS=1 fits the example into $(OUT) instead
	@OUT=$(OUT) $(BIN)/evenground demo

test: $(VENV)/.dev  ## every quick check, simulations at a seeded tenth
	$(RUN) -m pytest -q -n $(WORKERS) --dist worksteal --ignore=$(BROWSER)
	$(RUN) -m pytest -q -n $(WORKERS) --dist loadfile $(BROWSER)

prove: $(VENV)/.dev  ## the full simulation counts; writes docs/proof.md
	$(RUN) -m bench.prove

check: $(VENV)/.dev  ## format, lint, strict types
	$(BIN)/ruff format --check --quiet src tests bench
	$(BIN)/ruff check --quiet src tests bench
	$(BIN)/mypy

format: $(VENV)/.dev  ## put the code into the house format
	$(BIN)/ruff format --quiet src tests bench
	$(BIN)/ruff check --quiet --fix src tests bench

bench: $(VENV)/.dev  ## measure every speed promise beside its peer, in one run
	$(RUN) -m bench.run

lock: $(VENV)/.uv  ## solve the pinned, hashed requirements again
	$(BIN)/uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-header \
		--python-version 3.11 pyproject.toml -o requirements.lock
	$(BIN)/uv pip compile --quiet --universal --generate-hashes --no-emit-index-url --no-header \
		--python-version 3.11 --group dev -c requirements.lock pyproject.toml -o requirements-dev.lock

clean:  ## forget the environment and what it made
	rm -rf $(VENV) $(OUT) .mypy_cache .ruff_cache
