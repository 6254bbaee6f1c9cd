# Two commands do everything: `make run` (the main job on a demo) and `make test` (all tests). Both set up what they need.
# The command line itself needs Go alone: `go build -o bin/littoral ./cmd/littoral`.

GO ?= go
DEMO ?= quay-street-library

.PHONY: api sqlc run test go-test pages pages-test browser-test format-check verification schema lint setup-browser clean

# Forecasts the demo, then serves the shelf with it and opens the browser on it, until Ctrl-C.
run: pages bin/littoral
	./bin/littoral forecast examples/$(DEMO)/plan.yaml --out out/$(DEMO)
	@echo
	@echo "The report is out/$(DEMO)/report.html. Your own plan: ./bin/littoral new, then ./bin/littoral forecast plan.yaml --out FOLDER."
	./bin/littoral serve --data out/tanks --demo $(DEMO) --browse

bin/littoral: FORCE
	$(GO) build -o bin/littoral ./cmd/littoral
FORCE:

# The pages of `littoral serve`, built with Node into internal/web/dist and embedded in the program. Without them the command line is whole.
pages: internal/web/dist/index.html

ui/node_modules: ui/package-lock.json
	cd ui && npm ci --ignore-scripts --no-audit --no-fund
	@touch ui/node_modules

internal/web/dist/index.html: ui/node_modules api/openapi.json $(shell find ui/src ui/public ui/index.html ui/vite.config.ts -type f)
	cd ui && npm run build --silent

# Types, words, units and the outbox of the pages; and that the client is the one of the server's own description.
pages-test: ui/node_modules
	cd ui && npm run check --silent && npm run api:check --silent && npm test --silent

test: format-check go-test pages-test browser-test

format-check:
	@bad=$$(gofmt -l cmd internal tools); if [ -n "$$bad" ]; then echo "not gofmt-ed: $$bad"; exit 1; fi
	$(GO) vet ./...

go-test:
	$(GO) test -count=1 ./...

# The report and the pages in a real browser. Skipping it silently would hide a broken report, so a missing browser is an error with a cure.
browser-test: setup-browser pages bin/littoral
	cd e2e && npm ci --ignore-scripts --no-audit --no-fund && node --test

setup-browser:
	./scripts/browser.sh

# docs/verification.md is made from what the tests record.
verification:
	rm -rf out/verification && mkdir -p out/verification
	LITTORAL_VERIFICATION=$(CURDIR)/out/verification $(GO) test -count=1 ./...
	$(GO) run ./internal/check/verification out/verification > docs/verification.md

# api/openapi.json is what the server answers to; the pages' client is generated from it.
api:
	UPDATE_GOLDEN=1 $(GO) test -count=1 -run TestAPIIsDescribed ./cmd/littoral

# The statements of the SQLite store as Go; sqlc lives in a module of its own.
sqlc:
	CGO_ENABLED=0 $(GO) build -C tools/sqlc -o $(CURDIR)/bin/sqlc github.com/sqlc-dev/sqlc/cmd/sqlc
	cd internal/store/sqlite && $(CURDIR)/bin/sqlc generate

schema:
	UPDATE_GOLDEN=1 $(GO) test -count=1 -run Schema ./internal/plan ./internal/papers

# golangci-lint lives in a module of its own; its first build takes minutes, so it is not part of `make test`.
lint:
	$(GO) tool -modfile=tools/lint/go.mod golangci-lint run

clean:
	rm -rf bin out
