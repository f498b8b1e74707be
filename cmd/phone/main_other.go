//go:build !js || !wasm

package main

import (
	"fmt"
	"os"
)

func main() {
	fmt.Fprintln(os.Stderr, "phone: this runs in a browser only; build it by 'make phone', and 'steadfoot lead' serves it")
	os.Exit(2)
}
