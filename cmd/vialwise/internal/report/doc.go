// Package report writes results as one HTML file that opens anywhere without a
// network and without scripts: the summary first, then a page for each assay, then
// what a paper must say of the methods.
package report
