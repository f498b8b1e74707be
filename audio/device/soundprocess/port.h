// A port is a stream of the sound library as the library's own thread sees it: that
// thread runs C alone, so it never waits for Go's scheduler, collector or locks.
// What it hears it leaves in a queue, what it plays it finds where Go has put it.
#ifndef PORT_H
#define PORT_H

#include <portaudio.h>
#include <stdint.h>

// So many calls are kept until Go fetches them: 5 s at 512 frames.
enum { port_slots = 512 };

// port_call is what one call of the library was.
typedef struct {
	int64_t begun, took;   // ns, when on port_clock and how long
	int64_t adc, now, dac; // ns, the library's own times; 0 is unknown
	int64_t frame;         // number of its first frame since the clock runs
	int32_t frames;        // 0 before the clock runs
	uint32_t flags;
} port_call;

typedef struct {
	// Set before the start.
	PaStream *stream;
	int32_t most;              // frames of a call
	int32_t listens, speaks;   // channels; 0 is a side that is closed
	port_call *calls;          // port_slots of them
	float *samples;            // most for each call
	const uint32_t *running;   // the clock runs; not asked where it is null
	const int64_t *shift;      // frame n is for place n + shift of what is rendered
	const float *rendered;     // stereo; place k is at k & mask
	int64_t mask;
	const int64_t *head;       // first place that is not rendered
	int64_t *played;           // first place that has not been asked for
	int64_t *missing;          // places that were not rendered in time

	// Between the two threads.
	int64_t committed, released; // calls

	// Of the library's thread.
	int64_t frame;    // number of the next one
	uint32_t carried; // flags of calls that found the queue full
} port;

// port_new returns a port without sides, or null. It is never freed: a library that
// hangs may still call.
port *port_new(int32_t most);

// port_open opens and starts the stream. A device of -1 leaves that side closed.
PaError port_open(port *p, int in, double in_latency, int out, double out_latency, double rate);

// port_called is the callback.
int port_called(const void *in, void *out, unsigned long n, const PaStreamCallbackTimeInfo *t, PaStreamCallbackFlags flags, void *of);

// port_clock is the machine's monotonic clock, ns.
int64_t port_clock(void);

#endif
