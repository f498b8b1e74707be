package wire

import "strings"

// Device is one sound device as the system lists it.
type Device struct {
	Host string `json:"host"` // the system's sound interface, such as ALSA
	Name string `json:"name"`
	// Inputs and Outputs are the most channels it can open; 0 is none.
	Inputs  int     `json:"inputs"`
	Outputs int     `json:"outputs"`
	Rate    float64 `json:"rate"` // default sample rate in Hz
	// Latencies the device claims, in seconds; 0 where it has no such side.
	LowInputLatency   float64 `json:"low_input_latency"`
	HighInputLatency  float64 `json:"high_input_latency"`
	LowOutputLatency  float64 `json:"low_output_latency"`
	HighOutputLatency float64 `json:"high_output_latency"`
	// DefaultInput and DefaultOutput mark what is used when none is named.
	DefaultInput  bool `json:"default_input"`
	DefaultOutput bool `json:"default_output"`
}

// FullName is host and name together: what a wanted name is looked for in.
func (d Device) FullName() string { return d.Host + ": " + d.Name }

// Match says whether the device is meant by want, a part of its full name in
// any case of letters.
func (d Device) Match(want string) bool {
	return strings.Contains(strings.ToLower(d.FullName()), strings.ToLower(want))
}

// OpenRequest asks for a stream. Empty names are the system's defaults.
type OpenRequest struct {
	Input    string `json:"input,omitempty"`
	Output   string `json:"output,omitempty"`
	NoInput  bool   `json:"no_input,omitempty"`
	NoOutput bool   `json:"no_output,omitempty"`
	Frames   int    `json:"frames"` // samples a callback
	// Streams is how many streams carry the two sides: 1 or 2, or 0 for as many
	// as there are devices, or as can be opened. It has no meaning for one side
	// alone.
	Streams int `json:"streams,omitempty"`
}

// OpenReply tells what was opened. The latencies are the device's word, in
// seconds: a hint to be checked by a loop.
type OpenReply struct {
	Input         string  `json:"input,omitempty"`
	Output        string  `json:"output,omitempty"`
	InputLatency  float64 `json:"input_latency,omitempty"`
	OutputLatency float64 `json:"output_latency,omitempty"`
	// Streams is 2 when each side has a stream of its own, else 1 or 0.
	Streams int `json:"streams,omitempty"`
}
