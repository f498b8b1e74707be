package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"steadfoot/audio/device"
)

const devicesHelp = `
Lists the sound devices: what they are called, how many channels they take in
and out, their default rate, and the least and most latency they claim. The
default microphone and earphones are marked with *. Any part of a name, or of
"HOST: NAME", chooses a device for a walk.

With --pods it looks for foot pods by Bluetooth LE instead, for 10 s: those with
the standard Running Speed and Cadence service. They sleep until they are moved.

Examples:
  steadfoot devices
  steadfoot devices --json
  steadfoot devices --pods`

// runDevices lists microphones and earphones.
func runDevices(ctx context.Context, std stdio, args []string) error {
	fs := newFlags(std, "devices", "devices [--json] [--pods]", devicesHelp)
	asJSON := fs.Bool("json", false, "print JSON Lines, one device a line")
	pods := fs.Bool("pods", false, "look for foot pods instead")
	if _, err := parseFlags(fs, args, 0, 0); err != nil {
		return err
	}
	if *pods {
		return listPods(ctx, std, *asJSON)
	}
	devs, err := device.List(ctx)
	if err != nil {
		return err
	}
	if *asJSON {
		return printDevicesJSON(std.out, devs)
	}
	if len(devs) == 0 {
		return fmt.Errorf("no sound device found; plug one in, or check that the sound server runs")
	}
	return printDevices(std.out, devs)
}

func printDevicesJSON(w io.Writer, devs []device.Info) error {
	enc := json.NewEncoder(w)
	for _, d := range devs {
		line := struct {
			Kind string `json:"kind"`
			device.Info
		}{"device", d}
		if err := enc.Encode(line); err != nil {
			return err
		}
	}
	return nil
}

func printDevices(w io.Writer, devs []device.Info) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "HOST: NAME\tIN\tOUT\tRATE\tLATENCY IN\tLATENCY OUT")
	for _, d := range devs {
		fmt.Fprintf(tw, "%s\t%s\t%s\t%.0f Hz\t%s\t%s\n", oneLine(d.FullName()),
			channels(d.Inputs, d.DefaultInput), channels(d.Outputs, d.DefaultOutput), d.Rate,
			latency(d.Inputs, d.LowInputLatency, d.HighInputLatency),
			latency(d.Outputs, d.LowOutputLatency, d.HighOutputLatency))
	}
	return tw.Flush()
}

func channels(n int, standard bool) string {
	if n == 0 {
		return "-"
	}
	if standard {
		return fmt.Sprintf("%d *", n)
	}
	return fmt.Sprint(n)
}

func latency(n int, low, high float64) string {
	if n == 0 {
		return "-"
	}
	return fmt.Sprintf("%.0f to %.0f ms", 1000*low, 1000*high)
}

// oneLine keeps a device's name from breaking the table.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }
