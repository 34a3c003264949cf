# What can be done here, each from a fresh clone: `make help`. Needs make, git and python3 with venv; everything else is
# installed into .venv, pinned and hashed.

SHELL := bash
.SHELLFLAGS := -eu -o pipefail -c
.DEFAULT_GOAL := help
export PYTHON ?= python3
bin := .venv/bin
workers ?= 2
minutes ?= 60
changes ?= 100000

.PHONY: help setup setup-test demo test check bench mutation coverage laws-long fuzz fuzz-bytes bundle sizes pin clean

help: ## this list
	@sed -nE 's/^([a-z-]+):.*## (.*)/\1\t\2/p' $(MAKEFILE_LIST) | while IFS=$$'\t' read -r name what; do \
	  printf '  make %-10s  %s\n' "$$name" "$$what"; done

setup: ## install Curewright into .venv
	@tools/setup.sh run

setup-test:
	@tools/setup.sh run test

demo: setup ## judge the demo cures and show what comes out, in demo-run/
	@code=0; $(bin)/curewright demo demo-run || code=$$?; \
	case $$code in 0|1[0-9]) ;; *) exit $$code ;; esac # 10 and up: the verdicts are not all "met", as the demo means to show

test: setup-test ## every test (ARGS='-k soak' for some)
	@$(bin)/python -m pytest -n $(workers) --dist worksteal $(ARGS)

check: setup-test ## style, types, import order, docs against code, words that may not land
	@failed=; \
	run() { echo "$$*"; "$$@" || failed+="; $${*#.venv/bin/}"; }; \
	run $(bin)/ruff format --check --output-format concise .; \
	run $(bin)/ruff check --output-format concise .; \
	run $(bin)/mypy; \
	run $(bin)/lint-imports --no-logo; \
	run $(bin)/python tools/docs_check.py; \
	run $(bin)/python tools/words_check.py; \
	if [ -n "$$failed" ]; then echo "check: not passed: $${failed#; }" >&2; exit 1; fi

bench: setup-test ## how fast, beside the general tools for the same question
	@tools/setup.sh monitors
	@$(bin)/python -m bench $(ARGS)

mutation: setup-test ## would the tests notice a changed line of judge/ or understand/? (an hour and more)
	@tools/mutation.sh $(ARGS)

coverage: setup-test ## which lines the tests run, kernels uncompiled
	@rm -f .coverage .coverage.*
	@CUREWRIGHT_UNCOMPILED=1 $(bin)/coverage run -m pytest -q $(ARGS)
	@$(bin)/coverage combine --quiet; $(bin)/coverage report

laws-long: setup-test ## the laws on 2000 fresh examples each
	@$(bin)/python -m pytest -n $(workers) --dist worksteal tests/laws --hypothesis-profile=long $(ARGS)

fuzz: setup-test ## throw chance bytes at the readers: minutes=60, or ARGS='export layout' for some (Linux on x86-64)
	@tools/setup.sh fuzz
	@$(bin)/python tests/fuzz/run.py $(minutes) $(ARGS)

fuzz-bytes: setup-test ## 100,000 changed bytes in exports: refused, or different only in the cell that was changed
	@$(bin)/python -m tests.torture.changes $(changes)

bundle: setup-test ## dist/curewright-offline-….zip: installs without a network on Windows and Linux (ARGS=--try)
	@$(bin)/python tools/bundle.py $(ARGS)

sizes: ## functions, files and folders that have grown long: a guide, not a rule
	@$(PYTHON) tools/sizes.py

pin: ## write requirements/*.txt anew (ARGS=--upgrade: with the newest versions)
	@tools/pin.sh $(ARGS)

clean: ## remove what was made here: .venv, caches, demo-run, mutants
	rm -rf .venv .venv.lock build dist demo-run mutants bench/results src/*.egg-info .coverage .coverage.* \
	  .hypothesis .mypy_cache .pytest_cache .ruff_cache .import_linter_cache
	find . -name __pycache__ -type d -prune -exec rm -rf {} +
