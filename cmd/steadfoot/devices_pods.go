package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"text/tabwriter"
	"time"

	"steadfoot/audio/sensor/pod"
)

// lookForPods is how long foot pods are looked for.
const lookForPods = 10 * time.Second

// listPods lists the foot pods that are about.
func listPods(ctx context.Context, std stdio, asJSON bool) error {
	radio, err := pod.New()
	if err != nil {
		return err
	}
	defer radio.Close()
	all, err := pod.List(ctx, radio, lookForPods)
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return err
	}
	if asJSON {
		return printPodsJSON(std.out, all)
	}
	if len(all) == 0 {
		return errors.New("no foot pod was found; pods sleep until they are moved: take some steps and try again")
	}
	return printPods(std.out, all)
}

func printPodsJSON(w io.Writer, all []pod.Found) error {
	enc := json.NewEncoder(w)
	for _, f := range all {
		line := struct {
			Kind string `json:"kind"`
			pod.Found
		}{"pod", f}
		if err := enc.Encode(line); err != nil {
			return err
		}
	}
	return nil
}

func printPods(w io.Writer, all []pod.Found) error {
	tw := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(tw, "FOOT POD\tADDRESS\tSIGNAL")
	for _, f := range all {
		signal := "-"
		if f.Signal != 0 {
			signal = fmt.Sprintf("%d dBm", f.Signal)
		}
		fmt.Fprintf(tw, "%s\t%s\t%s\n", oneLine(f.Name), f.Address, signal)
	}
	return tw.Flush()
}
