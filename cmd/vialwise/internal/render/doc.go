// Package render writes finished results as text, Markdown, LaTeX, CSV, JSON and
// XLSX, and the methods behind them as text and BibTeX. It is the only place where
// numbers are formatted for people.
package render
