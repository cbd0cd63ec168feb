package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// goRun is how the manual calls the program.
const goRun = "go run ./cmd/vialwise"

// manual is what a README shows: count tables by name, and command lines.
type manual struct {
	tables   map[string]string
	commands []string
}

var tableName = regexp.MustCompile("`([^`/\\\\]+\\.csv)`")

// readManual collects the fenced csv blocks whose preceding filled line names
// a file, and the lines of sh blocks that call the program.
func readManual(text string) manual {
	m := manual{tables: map[string]string{}}
	var fence, before string
	var block []string
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\r\n")
		switch {
		case fence == "" && strings.HasPrefix(line, "```"):
			fence, block = strings.TrimSpace(line), nil
		case fence != "" && strings.TrimSpace(line) == "```":
			m.add(fence, before, block)
			fence, before = "", ""
		case fence != "":
			block = append(block, line)
		case strings.TrimSpace(line) != "":
			before = line
		}
	}
	return m
}

func (m *manual) add(fence, before string, block []string) {
	switch fence {
	case "```csv":
		if name := tableName.FindStringSubmatch(before); name != nil {
			m.tables[name[1]] = strings.Join(block, "\n") + "\n"
		}
	case "```sh":
		joined := strings.ReplaceAll(strings.Join(block, "\n"), "\\\n", " ")
		for line := range strings.SplitSeq(joined, "\n") {
			if line = strings.TrimSpace(line); strings.HasPrefix(line, goRun) && !strings.Contains(line, "go test") {
				m.commands = append(m.commands, line)
			}
		}
	}
}

// words splits a command line at blanks outside quotation marks, up to a
// comment. It knows no more of a shell than a manual needs.
func words(line string) ([]string, error) {
	var list []string
	var word strings.Builder
	quote, open := rune(0), false
	end := func() {
		if open {
			list = append(list, word.String())
		}
		word.Reset()
		open = false
	}
	for _, r := range line {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(r)
		case r == '\'' || r == '"':
			quote, open = r, true
		case r == ' ' || r == '\t':
			end()
		case r == '#' && !open:
			return list, nil
		case strings.ContainsRune("|;&$`*?()", r):
			return nil, fmt.Errorf("the test knows no %q of the shell", r)
		default:
			word.WriteRune(r)
			open = true
		}
	}
	if quote != 0 {
		return nil, fmt.Errorf("the quotation mark %q is not closed", quote)
	}
	end()
	return list, nil
}

// runLine runs a command line of the manual in the current folder, with < and
// > from and to files.
func runLine(line string) error {
	args, err := words(strings.TrimPrefix(line, goRun))
	if err != nil {
		return err
	}
	var stdin io.Reader = strings.NewReader("")
	var stdout, stderr bytes.Buffer
	saved := ""
	for _, sign := range []string{"<", ">"} {
		i := slices.Index(args, sign)
		if i < 0 {
			continue
		}
		if i+1 == len(args) {
			return errors.New("no file follows " + sign)
		}
		if sign == ">" {
			saved = args[i+1]
		} else if raw, err := os.ReadFile(args[i+1]); err != nil {
			return err
		} else {
			stdin = bytes.NewReader(raw)
		}
		args = slices.Delete(args, i, i+2)
	}
	if status := run(args, stdin, &stdout, &stderr); status != exitAnswered {
		return fmt.Errorf("exit status %d\n%s", status, stderr.String())
	}
	if saved != "" {
		return os.WriteFile(saved, stdout.Bytes(), 0o644)
	}
	return nil
}

// TestReadmeCommands runs what the manual tells its reader to run, in the
// order of the manual and on the tables that it shows.
func TestReadmeCommands(t *testing.T) {
	path := filepath.Join("..", "..", "README.md")
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		t.Fatal("there is no README.md in the root of the module; write the manual, whose commands this test runs")
	}
	if err != nil {
		t.Fatal(err)
	}
	m := readManual(string(text))
	if len(m.commands) == 0 {
		t.Fatalf("README.md has no line that begins with %q in an sh block", goRun)
	}
	t.Chdir(t.TempDir())
	for name, table := range m.tables {
		if err := os.WriteFile(name, []byte(table), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for _, line := range m.commands {
		if err := runLine(line); err != nil {
			t.Errorf("README.md says to run\n\t%s\nwhich fails: %v", line, err)
		}
	}
}
