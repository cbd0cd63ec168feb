// Package plots draws the figures of a bioassay as values.
//
// A figure is a plain struct: fill it in, then write it. The same value always
// gives the same bytes. The package computes no estimate; it draws what it is
// given, except for the exact binomial limits of each observed proportion.
//
// Figures are sized for one printed column, use the colour-blind-safe palette
// of Okabe & Ito (2008) and never tell two things apart by colour alone. SVG
// output carries a title and a description in words for screen readers. Text
// is set in Liberation Sans or a font of the same widths; the font is named,
// not embedded.
package plots
