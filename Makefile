# make demo   runs the main job on a made walk
# make test   all tests, as CI runs them
# Both first install what is missing (.ci/setup).

GO ?= go
STATICCHECK = honnef.co/go/tools/cmd/staticcheck@v0.8.2
.PHONY: build phone demo test test-long soak race lint bench eval fuzz setup clean

build: phone
	@SETUP_BUILD_ONLY=1 .ci/setup
	$(GO) build -o bin/steadfoot ./cmd/steadfoot

# The detector for phones, which the pages of a group serve: cmd/phone, and what of
# Go runs it.
PHONE = coach/group/page/built
phone:
	GOOS=js GOARCH=wasm CGO_ENABLED=0 $(GO) build -trimpath -ldflags "-s -w" -o $(PHONE)/phone.wasm ./cmd/phone
	gzip -9nf $(PHONE)/phone.wasm
	cp "$$($(GO) env GOROOT)/lib/wasm/wasm_exec.js" $(PHONE)/wasm_exec.js

setup:
	@.ci/setup

demo: build
	bin/steadfoot demo --dir out

# One package at a time: the tests of the sound path want the machine for
# themselves, or they measure its load.
test: build lint
	STEADFOOT_SOUND_TESTS=1 $(GO) test -p 1 -timeout 30m ./... ./testdata/footsteps
	$(GO) run ./cmd/eval --short
	$(MAKE) race
	$(MAKE) soak SOAK_MINUTES=2

# What takes too long for every day: a walk that is killed 200 times, and a minute
# of each fuzz target.
test-long: setup
	STEADFOOT_KILLS=200 $(GO) test -count=1 -v -run TestKill ./coach/logbook
	$(MAKE) fuzz FUZZTIME=60s

# A made walk in real time through a virtual sound server: beat, log, memory and
# processor time must hold. SOAK_HOG=0 leaves the other core free; SOAK_DEVICES=2
# takes two devices, SOAK_DRIFT=300 a microphone that is 300 millionths fast;
# SOAK_ORDINARY=1 gives the walk no right of way.
SOAK_MINUTES ?= 180
soak: setup
	SOAK_MINUTES=$(SOAK_MINUTES) STEADFOOT_SOUND_TESTS=1 $(GO) test -count=1 -v -timeout 0 -run '^TestSoak$$' ./cmd/steadfoot

# The race detector costs most where nothing runs in parallel; it is for the
# rooms that have goroutines, and for the walks that drive them all. Left out are
# tests that only compute, and those of a program built without it.
race: setup
	$(GO) test -race ./audio/device/internal/... ./coach/logbook ./cmd/steadfoot/screen
	$(GO) test -race ./coach/group/hub ./coach/group/bus ./coach/group/local ./coach/group/member ./coach/group/spare
	$(GO) test -race -skip 'TestMuted|TestClaps|TestOwnSound|TestBlocksDoNot' ./cmd/steadfoot/live
	$(GO) test -race -run 'TestWalk|TestScript/walk-cut' -skip 'SoundPath' ./cmd/steadfoot

lint: setup
	@test -z "$$(gofmt -l .)" || { echo "not gofmt'ed:"; gofmt -l .; exit 1; }
	$(GO) vet ./... ./testdata/footsteps
	$(GO) run $(STATICCHECK) ./... ./testdata/footsteps

# The benchmarks, then what the detector costs: against the sample rate, over three
# hours in one piece (HOURS=0.5 for less), and against aubio.
bench: setup
	$(GO) test -run '^$$' -bench . -benchmem ./...
	$(GO) run ./cmd/eval --cost $(if $(HOURS),--cost-hours $(HOURS))

# The table, the picture of F against noise, and every bar. make eval DATA=folder
# also runs over recordings; PICTURE= draws none (see cmd/eval --help).
PICTURE ?= out/eval.svg
eval: setup
	@mkdir -p out
	$(GO) run ./cmd/eval $(if $(DATA),--data $(DATA)) $(if $(PICTURE),--picture $(PICTURE))

# make fuzz FUZZTIME=60s runs every fuzz target that long
FUZZTIME ?= 10s
fuzz: setup
	@for d in $$(grep -rl '^func Fuzz' --include='*_test.go' . | xargs -n1 dirname | sort -u); do \
	  for f in $$(grep -h '^func Fuzz' $$d/*_test.go | sed 's/func \(Fuzz[A-Za-z0-9_]*\).*/\1/'); do \
	    echo "== $$d $$f"; $(GO) test -run '^$$' -fuzz "^$$f\$$" -fuzztime $(FUZZTIME) $$d || exit 1; done; done

clean:
	rm -rf bin out
