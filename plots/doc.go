// Package plots draws the figures of a bioassay as values.
//
// A figure is a plain struct: fill it in, then Write it as SVG, PDF or PNG. The
// same value always gives the same bytes. The package computes no estimate; it
// draws what it is given, except for the exact binomial limits of each observed
// proportion and the band of a Line.
//
// The kinds: Curve for one assay, CurveSet for several, LinkScale for the line on
// its own scale, Residuals, Forest for resistance ratios, Mixture for a resistant
// fraction, Density for a posterior, Timeline for seasons and TimelineSet for
// several of them, Map for a region, Survivors for a beekeeper's picture of 100
// mites, and Sheet for one printed page of large text with that picture.
//
// Figures are sized for one or two printed columns, use the colour-blind-safe
// palette of Okabe & Ito (2008) and never tell two things apart by colour alone.
// SVG carries a title and a description in words for screen readers, PDF and PNG
// carry them among their properties. Text is set in a part of Liberation Sans
// that goes into the file.
package plots
