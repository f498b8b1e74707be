//go:build cgo

package soundprocess

// #include "port.h"
import "C"

import "unsafe"

// told are the times of a call.
var told C.PaStreamCallbackTimeInfo

// called is the callback as the library calls it, for tests: these cannot use C.
// The times are in seconds.
func (p *port) called(in, out []float32, frames int, adc, now, dac float64, flags uint32) {
	told = C.PaStreamCallbackTimeInfo{inputBufferAdcTime: C.PaTime(adc), currentTime: C.PaTime(now), outputBufferDacTime: C.PaTime(dac)}
	C.port_called(unsafe.Pointer(unsafe.SliceData(in)), unsafe.Pointer(unsafe.SliceData(out)), C.ulong(frames), &told, C.PaStreamCallbackFlags(flags), unsafe.Pointer(p.c))
}

// sides sets how many channels there are; 0 is a side that is closed.
func (p *port) sides(listens, speaks int) {
	p.c.listens, p.c.speaks = C.int32_t(listens), C.int32_t(speaks)
}
