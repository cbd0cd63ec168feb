package report

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// readable is the least contrast of text that WCAG 2.2 asks for, criterion 1.4.3.
const readable = 4.5

var property = regexp.MustCompile(`--([a-z]+):#([0-9a-f]{3,6})`)

// palettes are the colours of the style sheet by the scheme that they belong to.
func palettes(t *testing.T) map[string]map[string]string {
	t.Helper()
	out := map[string]map[string]string{}
	rest := styleText
	for _, k := range []struct{ scheme, before string }{{"light", ":root{"}, {"dark", "prefers-color-scheme:dark"}, {"print", "@media print"}} {
		i := strings.Index(rest, k.before)
		if i < 0 {
			t.Fatalf("the style sheet has no %s colours", k.scheme)
		}
		rest = rest[i+len(k.before):]
		rule, _, _ := strings.Cut(rest, "}")
		out[k.scheme] = map[string]string{}
		for _, m := range property.FindAllStringSubmatch(rule, -1) {
			out[k.scheme][m[1]] = m[2]
		}
	}
	return out
}

// luminance is the relative luminance of WCAG 2.2.
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	if len(hex) == 3 {
		hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
	}
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		v, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		if err != nil {
			t.Fatal(err)
		}
		c := float64(v) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		sum += weight * c
	}
	return sum
}

func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// TestContrastIsReadable holds every colour of text to the background of its
// scheme.
func TestContrastIsReadable(t *testing.T) {
	for scheme, colours := range palettes(t) {
		for _, name := range []string{"ink", "soft", "link", "discard", "doubt", "remark", "note", "fine"} {
			if colours[name] == "" {
				t.Errorf("%s has no colour %s", scheme, name)
				continue
			}
			if c := contrast(t, colours[name], colours["page"]); c < readable {
				t.Errorf("%s: %s has contrast %.2f with the page, of %.1f", scheme, name, c, readable)
			}
		}
	}
	// black on white, and the lightest grey that passes, as WebAIM's table gives it (from memory)
	if c := contrast(t, "000", "ffffff"); math.Abs(c-21) > 1e-9 {
		t.Errorf("black on white has contrast %g", c)
	}
	if contrast(t, "767676", "fff") < readable || contrast(t, "777777", "fff") >= readable {
		t.Error("the contrast of grey is off")
	}
}

// TestFiguresAreReadable holds the text of every figure to its white ground, on
// which no browser check judges it.
func TestFiguresAreReadable(t *testing.T) {
	fill := regexp.MustCompile(`<text [^>]*fill="#([0-9A-F]{6})"`)
	seen := map[string]bool{}
	for name, page := range pages(t) {
		for _, m := range fill.FindAllStringSubmatch(page, -1) {
			if seen[m[1]] {
				continue
			}
			seen[m[1]] = true
			if c := contrast(t, m[1], "ffffff"); c < readable {
				t.Errorf("%s: a figure has text in #%s, contrast %.2f", name, m[1], c)
			}
		}
	}
	if len(seen) == 0 {
		t.Error("no figure has text")
	}
}
