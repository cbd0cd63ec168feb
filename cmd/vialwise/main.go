// Vialwise fits dose-response lines to vial bioassays of varroa mites, from a
// table of counts to LC50 with fiducial limits.
package main

import "os"

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
