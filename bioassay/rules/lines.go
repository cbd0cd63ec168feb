package rules

import (
	"fmt"
	"regexp"
	"strings"
)

// lines knows where the keys of a file stand, which the TOML library does not
// tell once the file is read. Paths count the tables of an array from 1:
// rule_set[2].controls.
type lines map[string]int

var (
	arrayHeader = regexp.MustCompile(`^\s*\[\[\s*([^\]]+?)\s*\]\]`)
	tableHeader = regexp.MustCompile(`^\s*\[\s*([^\[\]]+?)\s*\]`)
	keyLine     = regexp.MustCompile(`^\s*([\w."'-]+(?:\s*\.\s*[\w."'-]+)*)\s*=`)
	quotes      = strings.NewReplacer(`"`, "", `'`, "", " ", "", "\t", "")
)

// indexLines finds headers and keys. The text is valid TOML. Keys within inline
// tables are not found; whatever is said about them names the line on which the
// value begins.
func indexLines(text string) lines {
	found := lines{}
	count := map[string]int{} // tables of an array so far, by path
	at, quote := "", ""
	for i, line := range strings.Split(text, "\n") {
		inside := quote != ""
		quote = openQuote(line, quote)
		if inside {
			continue
		}
		if m := arrayHeader.FindStringSubmatch(line); m != nil {
			path := qualify(quotes.Replace(m[1]), count, false)
			if count[path]++; count[path] == 1 {
				found[path] = i + 1
			}
			at = fmt.Sprintf("%s[%d]", path, count[path])
			found[at] = i + 1
		} else if m := tableHeader.FindStringSubmatch(line); m != nil {
			at = qualify(quotes.Replace(m[1]), count, true)
			found[at] = i + 1
		} else if m := keyLine.FindStringSubmatch(line); m != nil {
			path := join(at, quotes.Replace(m[1]))
			if found[path] == 0 {
				found[path] = i + 1
			}
		}
	}
	return found
}

// qualify writes a dotted name with the numbers of the array tables it lies in;
// the last part is left as it is unless all is set.
func qualify(name string, count map[string]int, all bool) string {
	path := ""
	parts := strings.Split(name, ".")
	for i, part := range parts {
		path = join(path, part)
		if n := count[path]; n > 0 && (all || i < len(parts)-1) {
			path = fmt.Sprintf("%s[%d]", path, n)
		}
	}
	return path
}

// openQuote returns the mark of a text of several lines that is still open at
// the end of a line, given the one open at its start.
func openQuote(line, open string) string {
	for {
		if open != "" {
			_, rest, closed := strings.Cut(line, open)
			if !closed {
				return open
			}
			line, open = rest, ""
			continue
		}
		double, single := strings.Index(line, `"""`), strings.Index(line, `'''`)
		switch {
		case double < 0 && single < 0:
			return ""
		case single < 0 || double >= 0 && double < single:
			open, line = `"""`, line[double+3:]
		default:
			open, line = `'''`, line[single+3:]
		}
	}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

// of returns the line of a path, or of the innermost part around it that was
// found.
func (l lines) of(path string) int {
	for path != "" {
		if n := l[path]; n > 0 {
			return n
		}
		if i := strings.LastIndexAny(path, ".["); i >= 0 {
			path = path[:i]
		} else {
			break
		}
	}
	return 0
}
