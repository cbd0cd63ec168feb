// Package render writes finished results as text, Markdown, LaTeX, CSV and
// JSON. It is the only place where numbers are formatted for people.
package render
