// Command generate writes the invented demo tables into the working directory.
package main

import (
	"fmt"
	"os"

	"vialwise/bioassay/demo/internal/coast"
)

func main() {
	for name, data := range coast.Files() {
		if err := os.WriteFile(name, data, 0o644); err != nil {
			fmt.Fprintln(os.Stderr, "generate:", err)
			os.Exit(1)
		}
	}
}
