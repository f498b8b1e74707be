#include "port.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

int64_t port_clock(void) {
	struct timespec t;
#ifdef __APPLE__
	clock_gettime(CLOCK_UPTIME_RAW, &t);
#else
	clock_gettime(CLOCK_MONOTONIC, &t);
#endif
	return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

port *port_new(int32_t most) {
	port *p = calloc(1, sizeof *p);
	if (!p)
		return NULL;
	p->most = most;
	size_t calls = port_slots * sizeof *p->calls;
	size_t samples = (size_t)port_slots * most * sizeof *p->samples;
	p->calls = malloc(calls);
	p->samples = malloc(samples);
	if (!p->calls || !p->samples)
		return NULL;
	// Touched now, so that the callback waits for no memory.
	memset(p->calls, 1, calls);
	memset(p->samples, 1, samples);
	return p;
}

PaError port_open(port *p, int in, double in_latency, int out, double out_latency, double rate) {
	PaStreamParameters heard = {in, p->listens, paFloat32, in_latency, NULL};
	PaStreamParameters spoken = {out, p->speaks, paFloat32, out_latency, NULL};
	PaError err = Pa_OpenStream(&p->stream, in < 0 ? NULL : &heard, out < 0 ? NULL : &spoken, rate, p->most, paNoFlag, port_called, p);
	return err == paNoError ? Pa_StartStream(p->stream) : err;
}

// play fills out with what is rendered for this very moment, silence where there is
// nothing: ring.Output's Play.
static void play(port *p, float *out, int64_t n) {
	int64_t index = p->frame + __atomic_load_n(p->shift, __ATOMIC_ACQUIRE);
	int64_t head = __atomic_load_n(p->head, __ATOMIC_ACQUIRE);
	int64_t i = 0;
	for (; i < n && index + i < head; i++, out += p->speaks) {
		const float *f = p->rendered + 2 * ((index + i) & p->mask);
		if (p->speaks == 1) {
			out[0] = (f[0] + f[1]) / 2;
			continue;
		}
		out[0] = f[0];
		out[1] = f[1];
		memset(out + 2, 0, (p->speaks - 2) * sizeof *out);
	}
	memset(out, 0, (n - i) * p->speaks * sizeof *out);
	__atomic_store_n(p->played, index + n, __ATOMIC_SEQ_CST);
	if (head != 0 && i < n)
		__atomic_fetch_add(p->missing, n - i, __ATOMIC_RELAXED);
}

static int64_t ns(double s) { return s * 1e9; }

int port_called(const void *in, void *out, unsigned long n, const PaStreamCallbackTimeInfo *t, PaStreamCallbackFlags flags, void *of) {
	port *p = of;
	int64_t begun = port_clock();
	int on = !p->running || __atomic_load_n(p->running, __ATOMIC_ACQUIRE);
	if (out && on)
		play(p, out, n);
	else if (out)
		memset(out, 0, n * p->speaks * sizeof(float));
	flags |= p->carried;
	p->carried = flags;
	int64_t at = p->committed; // nobody else writes it
	if (at - __atomic_load_n(&p->released, __ATOMIC_ACQUIRE) < port_slots) {
		port_call *c = &p->calls[at % port_slots];
		c->frames = !on ? 0 : n < (unsigned long)p->most ? (int32_t)n : p->most;
		if (p->listens) {
			float *to = p->samples + (at % port_slots) * p->most;
			if (in)
				memcpy(to, in, c->frames * sizeof *to);
			else
				memset(to, 0, c->frames * sizeof *to);
		}
		c->adc = ns(t->inputBufferAdcTime);
		c->now = ns(t->currentTime);
		c->dac = ns(t->outputBufferDacTime);
		c->frame = p->frame;
		c->flags = flags;
		p->carried = 0;
		c->begun = begun;
		c->took = port_clock() - begun;
		__atomic_store_n(&p->committed, at + 1, __ATOMIC_RELEASE);
	}
	if (on)
		p->frame += n;
	return paContinue;
}
