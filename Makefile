# make demo: from a fresh checkout to a plan.   make check: everything that must hold.
BIN := .venv/bin
CASE ?= cases_demo/bunion-and-numb-feet.yaml
# Tests of the app wait for the screen half of their time: one worker more than there are cores.
WORKERS ?= $(shell echo $$(($$(nproc) + 1)))

.PHONY: demo check lint types contracts book tests bench pictures ready ready-dev

demo: ready
	@$(BIN)/toeroom plan $(CASE)

check: lint types contracts book tests

ready:
	@.ci/prepare

ready-dev:
	@.ci/prepare dev

lint: ready-dev
	$(BIN)/ruff format --check .
	$(BIN)/ruff check .

types: ready-dev
	$(BIN)/mypy

contracts: ready-dev
	$(BIN)/lint-imports

book: ready-dev
	$(BIN)/toeroom rules check
	$(BIN)/toeroom rules prove
	$(BIN)/toeroom kb check

tests: ready-dev
	$(BIN)/python -m pytest -n $(WORKERS)

bench: ready-dev
	$(BIN)/python bench/plans.py
	$(BIN)/python bench/asking.py
	$(BIN)/python bench/app.py

pictures: ready-dev
	$(BIN)/python docs/make_pictures.py
