// Command phone is the detector and the coach for a phone's browser, as
// WebAssembly: 'make phone' builds it, package coach/group/page serves it, and its
// detector.js runs it in a worker.
//
// It hears or feels one walker through what the page hands it, and answers with the
// events of the walk and the cues of a coach that goes by the group's target. It
// knows neither the group nor its clock: times are seconds since the input began.
package main
