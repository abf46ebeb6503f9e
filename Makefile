# Needs Go and make. With a C compiler the tests also look for data races.

GO       ?= go
GOFMT    ?= gofmt
FUZZTIME ?= 4s
RACE     := $(if $(filter 1,$(shell $(GO) env CGO_ENABLED)),-race)

.PHONY: run test lint gofmt fuzz bench build install clean

# Report on the built-in figure.
run:
	$(GO) run ./cmd/understage report

# The whole gate. The race detector makes the solver ten times slower, so with
# it random properties are tried on fewer cases (-short).
test:
	$(GO) build ./...
	$(MAKE) --no-print-directory lint
	$(GO) test ./...
	@test -z "$(RACE)" && echo "no C compiler: no tests with -race" || { echo "$(GO) test -race -short ./..."; $(GO) test -race -short ./...; }
	$(MAKE) --no-print-directory fuzz

lint: gofmt
	$(GO) vet ./...
	$(GO) tool staticcheck ./...

gofmt:
	@files=$$($(GOFMT) -l cmd internal) && test -z "$$files" || { echo "gofmt would change:"; echo "$$files"; exit 1; }

# Every fuzz target, found by name, for FUZZTIME each. When the time is up in the
# middle of an input, go test may call its own deadline a failure; a real one
# writes the failing input.
fuzz:
	@list=$$($(GO) test -list '^Fuzz' ./...) || { echo "$$list"; exit 1; }; \
	targets=; \
	echo "$$list" | while read -r word package rest; do \
		case $$word in \
		Fuzz*) targets="$$targets $$word" ;; \
		ok) for target in $$targets; do \
				echo "$(GO) test -run '^$$' -fuzz '^$$target\$$' -fuzztime $(FUZZTIME) -fuzzminimizetime 5x $$package"; \
				out=$$($(GO) test -run '^$$' -fuzz "^$$target\$$" -fuzztime $(FUZZTIME) -fuzzminimizetime 5x $$package 2>&1) || \
				case $$out in \
				*"Failing input"*) echo "$$out"; exit 1 ;; \
				*"context deadline exceeded"*) ;; \
				*) echo "$$out"; exit 1 ;; \
				esac; \
			done; \
			targets= ;; \
		esac; \
	done

bench:
	$(GO) test -run '^$$' -bench . -benchmem ./...

build:
	$(GO) build -o bin/understage ./cmd/understage

install:
	$(GO) install ./cmd/understage

clean:
	rm -rf bin
